import swagger from '@fastify/swagger'
import type { FastifyInstance } from 'fastify'
import { jsonSchemaTransform, jsonSchemaTransformObject, validatorCompiler } from 'fastify-type-provider-zod'

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
    transform: jsonSchemaTransform,
    transformObject: jsonSchemaTransformObject,
  })
}
