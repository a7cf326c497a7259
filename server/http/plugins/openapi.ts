import swagger from '@fastify/swagger'
import type { FastifyInstance } from 'fastify'
import { jsonSchemaTransform, jsonSchemaTransformObject, validatorCompiler } from 'fastify-type-provider-zod'
import { refusal } from '../schemas/refusal.js'

/** the failures any route can answer with */
const refusals = { '4xx': { description: 'refused', content: { 'application/json': { schema: refusal } } } }

/** What holds for all routes: each can refuse, and a write wants the token. */
const forAll: typeof jsonSchemaTransform = ({ schema, route, ...about }) => {
  const answers = schema?.response as object | undefined
  const whole = answers &&
    about.url.startsWith('/api/') && {
      ...schema,
      response: { ...answers, ...refusals },
      ...(!['GET', 'HEAD'].includes(String(route.method)) && { security: [{ token: [] }, {}] }),
    }
  return jsonSchemaTransform({ schema: whole || schema, route, ...about })
}

/** Requests are checked against the schemas beside the routes; answers are not run through theirs. */
export const checkedBySchemas = (app: FastifyInstance): void => {
  app.setValidatorCompiler(validatorCompiler)
  app.setSerializerCompiler(() => JSON.stringify)
}

/**
 * Requests are checked against the schemas beside the routes, and the same schemas describe the interface. Answers are
 * not run through theirs: a number that is not finite becomes null instead of a failure, and nothing is dropped in
 * silence; that answers keep to their schemas is for the tests.
 */
export const openapi = async (app: FastifyInstance, version: string): Promise<void> => {
  checkedBySchemas(app)
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Quiet Iron',
        version,
        description:
          'Which machines of a shop can be trusted with close-tolerance work now. SI units; times in ms since 1970 UTC. ' +
          'The service advises; it must not be wired to start or stop a machine.',
      },
      components: {
        securitySchemes: {
          token: {
            type: 'http',
            scheme: 'bearer',
            description: 'Needed for every write once the service listens elsewhere than on loopback.',
          },
        },
      },
    },
    transform: forAll,
    transformObject: jsonSchemaTransformObject,
  })
}
