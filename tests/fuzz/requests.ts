import fc from 'fast-check'
import { hostileText, hostileTexts } from './hostile.js'

/** What the OpenAPI document says of one way to ask. */
interface Operation {
  method: string
  path: string
  query: string[]
  /** names of the body's parts */
  body: string[]
  bodyTypes: string[]
}

interface Document {
  paths: Record<string, Record<string, OperationObject>>
}
interface OperationObject {
  parameters?: { name: string; in: string }[]
  requestBody?: { content: Record<string, { schema?: unknown }> }
}

const namesIn = (schema: unknown): string[] => {
  if (typeof schema !== 'object' || schema === null) return []
  const { properties, ...rest } = schema as { properties?: Record<string, unknown> }
  return [...Object.keys(properties ?? {}), ...Object.values({ ...properties, ...rest }).flatMap(namesIn)]
}

export const operationsIn = ({ paths }: Document): Operation[] =>
  Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, { parameters = [], requestBody }]) => ({
      method: method.toUpperCase(),
      path,
      query: parameters.filter(p => p.in === 'query').map(p => p.name),
      body: Object.values(requestBody?.content ?? {}).flatMap(({ schema }) => namesIn(schema)),
      bodyTypes: Object.keys(requestBody?.content ?? {}),
    })),
  )

export interface Request {
  method: string
  url: string
  headers: Record<string, string>
  body: string | undefined
}

/** what could be right in some place or other: ids, moments, numbers, words */
const plausible = fc.constantFrom(
  ...[
    'mill',
    's-air',
    's-screw,s-air',
    'door',
    'bores',
    'X',
    'air',
    '1',
    '0',
    '24',
    '1500',
    '0.001',
    'csv',
    'json',
    'Ada',
  ],
  ...[
    '2026-01-14T10:00:00Z',
    String(Date.now()),
    String(Date.now() - 86_400_000),
    'true',
    'column',
    '1e9',
    '-5',
    '20.5',
  ],
)
const word = fc.oneof({ weight: 3, arbitrary: plausible }, { weight: 2, arbitrary: hostileText })

/** as it stands in an address; what cannot be encoded is left as it is */
const encoded = (text: string): string => {
  try {
    return encodeURIComponent(text)
  } catch {
    return '%EF%BF%BD'
  }
}

const value = fc.oneof(
  word,
  fc.double(),
  fc.integer(),
  fc.boolean(),
  fc.constant(null),
  fc.jsonValue({ maxDepth: 2 }),
  fc.array(word, { maxLength: 3 }),
)

/** one for all: to make it costs much more than to draw from it */
const anyJson = fc.jsonValue().map(found => JSON.stringify(found))

const bodyOf = ({
  body,
  bodyTypes,
}: Operation): fc.Arbitrary<{ text: string | undefined; type: string | undefined }> => {
  const record = fc.dictionary(fc.constantFrom(...body, '__proto__', 'x'), value, { maxKeys: 8 })
  const text = fc.oneof(
    { weight: 5, arbitrary: record.map(found => JSON.stringify(found)) },
    { weight: 2, arbitrary: anyJson },
    { weight: 2, arbitrary: hostileText },
    {
      weight: 1,
      arbitrary: fc.constantFrom(
        '{"by":',
        `${'['.repeat(5000)}`,
        `"${'x'.repeat(70_000)}"`,
        'time,value (µm)\n2026-01-14 20:00,0.0',
      ),
    },
    { weight: 1, arbitrary: fc.constant(undefined) },
  )
  const type = fc.oneof(
    { weight: 6, arbitrary: fc.constantFrom('application/json', ...bodyTypes) },
    {
      weight: 1,
      arbitrary: fc.constantFrom(
        'text/plain',
        'text/csv',
        'multipart/form-data',
        'application/json; charset=x',
        '',
        'a/b/c',
      ),
    },
    { weight: 1, arbitrary: fc.constant(undefined) },
  )
  return fc.record({ text, type })
}

const headers = fc.dictionary(
  fc.constantFrom(
    'accept',
    'origin',
    'authorization',
    'if-none-match',
    'range',
    'x-forwarded-for',
    'sec-fetch-site',
    'cookie',
  ),
  fc.constantFrom(
    '',
    '*/*',
    'text/csv',
    'http://evil.example',
    'Bearer',
    'Bearer x',
    'Basic Og==',
    'bytes=0-,-5',
    '\t',
    'a'.repeat(3000),
    'W/"1"',
  ),
  { maxKeys: 3 },
)

const requestTo = (operation: Operation): fc.Arbitrary<Request> => {
  const names = fc.constantFrom(...operation.query, 'x', '__proto__', 'from', 'to', 'points')
  const wrongMethod = fc.constantFrom('GET', 'POST', 'PUT', 'DELETE', 'PATCH', 'HEAD', 'OPTIONS')
  return fc
    .record({
      method: fc.oneof({ weight: 9, arbitrary: fc.constant(operation.method) }, { weight: 1, arbitrary: wrongMethod }),
      parts: fc.array(word, { minLength: 3, maxLength: 3 }),
      query: fc.array(fc.tuple(names, word), { maxLength: 5 }),
      content: bodyOf(operation),
      given: headers,
      host: fc.oneof(
        { weight: 30, arbitrary: fc.constant('127.0.0.1') },
        { weight: 1, arbitrary: fc.constantFrom('evil.example', '[', '') },
      ),
    })
    .map(({ method, parts, query, content, given, host }) => {
      let next = 0
      const path = operation.path.replace(/\{[^}]+\}/g, () => encoded(parts[next++ % parts.length]!) || 'x')
      const asked = query.map(([name, text]) => `${encoded(name)}=${encoded(text)}`).join('&')
      const withBody = !['GET', 'HEAD', 'OPTIONS'].includes(method)
      return {
        method,
        url: asked === '' ? path : `${path}?${asked}`,
        headers: {
          ...given,
          host,
          ...(withBody && content.type !== undefined ? { 'content-type': content.type } : {}),
        },
        body: withBody ? content.text : undefined,
      }
    })
}

const stray: fc.Arbitrary<Request> = fc
  .tuple(fc.constantFrom('GET', 'POST', 'DELETE'), fc.array(word, { maxLength: 4 }))
  .map(([method, parts]) => ({
    method,
    url: `/${parts.map(encoded).join('/')}`,
    headers: { host: '127.0.0.1' },
    body: undefined,
  }))

/** requests to everything that the document names, and some to nothing of it */
export const request = (operations: readonly Operation[]): fc.Arbitrary<Request> =>
  fc.oneof(...operations.map(operation => ({ weight: 2, arbitrary: requestTo(operation) })), {
    weight: 3,
    arbitrary: stray,
  })

const line = fc.oneof(
  fc.constantFrom(
    ...[
      '/../../etc/passwd',
      '/..%2f..%2fsecret.txt',
      '/assets/../../secret.txt',
      '/%2e%2e/secret.txt',
      '/..\\secret.txt',
    ],
    ...[
      '//evil.example/',
      '/api/machines/%',
      '/api/machines/%zz',
      '/%00',
      '*',
      'http://evil.example/api/shop',
      '/api/live?x=%',
    ],
    ...[
      '/....//secret.txt',
      '/.%2e/.%2e/secret.txt',
      `/${'a/'.repeat(3000)}`,
      `/api/shop?${'x'.repeat(20_000)}`,
      ' ',
      '',
    ],
  ),
  fc.constantFrom(...hostileTexts).map(text => `/api/machines/${text}`),
  fc.string({ maxLength: 40 }).map(text => `/${text}`),
)

/** bytes as they go over the wire: some are HTTP, some nearly, some not at all */
export const wire: fc.Arbitrary<Buffer> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc
      .tuple(fc.constantFrom('GET', 'POST', 'HEAD', 'BREW', 'get'), line)
      .map(([method, target]) =>
        Buffer.from(`${method} ${target} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n`),
      ),
  },
  {
    weight: 2,
    arbitrary: fc
      .constantFrom(
        'Content-Length: -1',
        'Content-Length: 5\r\nContent-Length: 6',
        'Transfer-Encoding: chunked\r\nContent-Length: 3',
        'Transfer-Encoding: chunked',
        'X: \0',
        `X: ${'y'.repeat(20_000)}`,
        'NoColon',
        'Expect: 100-continue',
        'Upgrade: websocket\r\nConnection: upgrade',
      )
      .map(header =>
        Buffer.from(`POST /api/machines/mill/datums HTTP/1.1\r\nHost: 127.0.0.1\r\n${header}\r\n\r\nzz\r\n`),
      ),
  },
  { weight: 1, arbitrary: fc.uint8Array({ minLength: 1, maxLength: 300 }).map(bytes => Buffer.from(bytes)) },
)
