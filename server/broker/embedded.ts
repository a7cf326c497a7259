import type { BrokerAddress } from '../ingest/broker-address.js'
import { type EmbeddedBroker, startBroker } from './broker.js'

/** Starts the broker of a shop that has none, at the address at which the service looks for it. */
export const startEmbedded = (
  { url, user, password }: BrokerAddress,
  warn: (text: string) => void,
): Promise<EmbeddedBroker> => {
  const { hostname: host, port } = new URL(url)
  return startBroker({
    host: host.replace(/^\[(.*)\]$/, '$1'),
    port: port === '' ? 1883 : Number(port),
    warn,
    ...(user && password ? { credentials: { user, password } } : {}),
  })
}
