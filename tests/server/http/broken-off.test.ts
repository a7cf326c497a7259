import Fastify from 'fastify'
import { expect, it, onTestFinished } from 'vitest'
import { errors } from '../../../server/http/plugins/errors.js'

it('an answer that fails half way is broken off, so that nobody takes the half for the whole', async () => {
  const told: string[] = []
  const app = Fastify({ logger: { level: 'warn', stream: { write: (line: string) => told.push(line) } } })
  onTestFinished(() => app.close())
  errors(app, '')
  app.get('/half', (_request, reply) => {
    reply.raw.writeHead(200)
    reply.raw.write('half')
    throw new Error('the disk is gone')
  })
  const url = await app.listen({ port: 0 })
  await expect(fetch(`${url}/half`).then(answer => answer.text())).rejects.toThrow()
  // the one failure is told of, and none that comes from telling it
  expect(told.map(line => JSON.parse(line).err?.message ?? line)).toEqual(['the disk is gone'])
})
