import { ReadableStream } from 'node:stream/web'
import { setImmediate as breathe } from 'node:timers/promises'
import { parentPort, type TransferListItem, workerData } from 'node:worker_threads'
import type { Shop } from '../../core/shop.js'
import { createPastApp } from '../http/past-app.js'
import { withOffsetsInForce } from '../offsets.js'
import { codeOf } from '../store/database.js'
import { openReader, type PastReader } from '../store/reader.js'
import { dueBodies } from '../studies/identification/index.js'
import { fortnight, type SensorMeans } from '../studies/identification/means.js'
import { identifyingNode } from '../studies/identification/node.js'
import { learningShop } from '../studies/shop-model/prepare.js'
import type { FromThread, ThreadData, ToThread } from './messages.js'

/** The thread's own side: takes messages, one piece of work after the other; only exports go on beside the next one. */

const { folder } = workerData as ThreadData
let { shop } = workerData as ThreadData
const port = parentPort!
/** ms of work, while time constants are looked for, until questions get their turn */
const slice = 15
/** bytes */
const largestPiece = 256 * 1024

/** what is looked for, by id, until nobody waits for it any more */
const wanted = new Set<number>()

const send = (message: FromThread, transfer: TransferListItem[] = []) => port.postMessage(message, transfer)

/** an answer as it comes, in pieces that the service can hand on one by one; what is over or given up is told */
async function* pieces(stream: AsyncIterable<Buffer>, over: () => void): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of stream)
      for (let from = 0; from < chunk.length; from += largestPiece)
        // a copy of its own: of a part of a buffer the whole would be sent
        yield new Uint8Array(chunk.subarray(from, from + largestPiece))
  } finally {
    over()
  }
}

const answer = async ({ id, url, now }: Extract<ToThread, { kind: 'question' }>): Promise<void> => {
  const reader = openReader(folder, shop)
  const app = await createPastApp(await withOffsetsInForce(shop, reader), reader, now)
  try {
    let failure: string | null = null
    app.addHook('onError', async (_request, _reply, error) => {
      failure = error.stack ?? error.message
    })
    const reply = await app.inject({ url, payloadAsStream: true })
    const headers: Record<string, string> = {}
    for (const name of ['content-type', 'content-disposition'])
      if (typeof reply.headers[name] === 'string') headers[name] = reply.headers[name]
    const status = reply.statusCode
    await new Promise<void>(over => {
      const body = ReadableStream.from(pieces(reply.stream(), over))
      // Node transfers streams, which its types do not say
      const transfer = [body as unknown as TransferListItem]
      send({ kind: 'head', id, status, headers, failure: status >= 500 ? failure : null, body }, transfer)
      // what is still to be read, of an export, is looked up hour by hour
      reader.release()
    })
  } finally {
    await app.close()
    reader.close()
  }
}

/** what work in steps ends with, giving way to others every so often; null when nobody waits for it any more */
const carriedOut = async <T>(id: number, steps: AsyncGenerator<void, T>): Promise<T | null> => {
  for (;;) {
    const until = performance.now() + slice
    do {
      const step = await steps.next()
      if (step.done) return step.value
    } while (performance.now() < until)
    await breathe()
    if (!wanted.has(id)) return null
  }
}

/** with a snapshot of its own each time, so that none is held for long */
const inSnapshot = async <T>(work: (shopNow: Shop, reader: PastReader) => T): Promise<Awaited<T>> => {
  const reader = openReader(folder, shop)
  try {
    return await work(await withOffsetsInForce(shop, reader), reader)
  } finally {
    reader.close()
  }
}

type Search = Extract<ToThread, { kind: 'identify' | 'learn' }>

const identify = async ({ id, now }: Search): Promise<void> => {
  const read = new Map<string, SensorMeans>()
  for (const { machine, node } of await inSnapshot((shopNow, reader) => dueBodies(shopNow, reader, now))) {
    const found = await inSnapshot((shopNow, reader) =>
      carriedOut(id, identifyingNode(shopNow, reader, machine, node, now, read)),
    )
    if (!found) return
    send({ kind: 'found', id, found })
  }
}

const learn = async ({ id, now }: Search): Promise<void> => {
  const model = await inSnapshot((shopNow, reader) =>
    carriedOut(id, learningShop({ shop: shopNow, store: reader }, fortnight(now), now)),
  )
  if (model) send({ kind: 'found', id, found: model })
}

port.on('message', (message: ToThread) => {
  const { id } = message
  if (message.kind === 'shop') {
    shop = message.shop
    return
  }
  if (message.kind === 'abandon') {
    wanted.delete(id)
    return
  }
  wanted.add(id)
  const work =
    message.kind === 'question' ? answer(message) : message.kind === 'learn' ? learn(message) : identify(message)
  work
    .then(
      () => send({ kind: 'end', id }),
      (error: unknown) =>
        send({
          kind: 'failed',
          id,
          why: error instanceof Error ? error.message : String(error),
          code: codeOf(error),
        }),
    )
    .finally(() => wanted.delete(id))
})
