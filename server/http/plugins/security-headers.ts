import helmet from '@fastify/helmet'
import type { FastifyInstance } from 'fastify'
import { isLoopback } from './access.js'

/**
 * Headers on every answer. The pages load nothing from elsewhere and run no inline script or style. The service speaks
 * plain http: what only makes sense over https (upgrades, HSTS) is left to a proxy that adds it, and what a browser
 * ignores with a complaint on a plain http address of the network is sent on loopback only.
 */
export const securityHeaders = async (app: FastifyInstance, host: string): Promise<void> => {
  const trustworthyOrigin = isLoopback(host)
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        scriptSrcAttr: ["'none'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        connectSrc: ["'self'"],
        fontSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: false,
    crossOriginOpenerPolicy: trustworthyOrigin,
    originAgentCluster: trustworthyOrigin,
    referrerPolicy: { policy: 'no-referrer' },
    xFrameOptions: { action: 'deny' },
  })
}
