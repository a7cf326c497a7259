import { readFileSync } from 'node:fs'

/** Where the broker is and how we make ourselves known to it. Never logged as a whole. */
export interface BrokerAddress {
  /** mqtt://host:1883, mqtts://host:8883, ws:// or wss:// */
  url: string
  user?: string
  password?: string
  /** by which the broker knows us again, if not by the database and its place */
  clientId?: string
  /** PEM; the authority that signed the broker's certificate, and our own certificate with its key */
  ca?: Buffer
  cert?: Buffer
  key?: Buffer
}

const protocols = ['mqtt:', 'mqtts:', 'ws:', 'wss:']

const parseUrl = (url: string): URL => {
  let parsed: URL | undefined
  try {
    parsed = new URL(url)
  } catch {
    parsed = undefined
  }
  // the address itself may hold a password, so it is not repeated
  if (!parsed || !protocols.includes(parsed.protocol) || parsed.hostname === '')
    throw new Error("The broker's address cannot be used. Write it as mqtt://host:1883 or mqtts://host:8883.")
  return parsed
}

/** @returns the address as it may be shown: without user and password */
export const shownAddress = ({ url }: BrokerAddress): string => {
  const { protocol, host } = parseUrl(url)
  return `${protocol}//${host}`
}

const pem = (path: string | undefined, what: string): Buffer | undefined => {
  if (!path) return undefined
  try {
    return readFileSync(path)
  } catch (error) {
    throw new Error(`${what}: ${error instanceof Error ? error.message : String(error)}`)
  }
}

/**
 * The broker's address with what the environment adds: QUIET_IRON_MQTT_USER, QUIET_IRON_MQTT_PASSWORD,
 * QUIET_IRON_MQTT_CLIENT_ID, and the paths of PEM files in QUIET_IRON_MQTT_CA, QUIET_IRON_MQTT_CERT, QUIET_IRON_MQTT_KEY.
 *
 * @throws Error when the address is none, or a file cannot be read; the message never holds a password
 */
export const brokerAddress = (
  url: string,
  environment: Readonly<Record<string, string | undefined>>,
): BrokerAddress => {
  const parsed = parseUrl(url)
  const user = environment.QUIET_IRON_MQTT_USER ?? decodeURIComponent(parsed.username)
  const password = environment.QUIET_IRON_MQTT_PASSWORD ?? decodeURIComponent(parsed.password)
  const clientId = environment.QUIET_IRON_MQTT_CLIENT_ID
  parsed.username = ''
  parsed.password = ''
  const ca = pem(environment.QUIET_IRON_MQTT_CA, 'QUIET_IRON_MQTT_CA')
  const cert = pem(environment.QUIET_IRON_MQTT_CERT, 'QUIET_IRON_MQTT_CERT')
  const key = pem(environment.QUIET_IRON_MQTT_KEY, 'QUIET_IRON_MQTT_KEY')
  return {
    url: parsed.href.replace(/\/$/, ''),
    ...(user ? { user } : {}),
    ...(password ? { password } : {}),
    ...(clientId ? { clientId } : {}),
    ...(ca ? { ca } : {}),
    ...(cert ? { cert } : {}),
    ...(key ? { key } : {}),
  }
}
