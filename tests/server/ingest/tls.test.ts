import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { connectAsync } from 'mqtt'
import { pino } from 'pino'
import { expect, it, onTestFinished } from 'vitest'
import { type BrokerAddress, brokerAddress } from '../../../server/ingest/broker-address.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { started } from '../../serving.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { shop } from '../http/fakes.js'

const user = 'smith-of-the-hall'
const password = 'anvil/and%tongs'

const openssl = (folder: string, ...words: string[]) => execFileSync('openssl', words, { cwd: folder, stdio: 'pipe' })

/** an authority, and what it signs: the broker's certificate and the service's own, each with its key */
const certificates = (): string => {
  const folder = temporaryFolder()
  const key = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes']
  openssl(folder, 'req', '-x509', ...key, '-keyout', 'ca.key', '-out', 'ca.pem', '-subj', '/CN=Invented', '-days', '2')
  writeFileSync(join(folder, 'names.txt'), 'subjectAltName=IP:127.0.0.1')
  for (const name of ['broker', 'client']) {
    openssl(folder, 'req', ...key, '-keyout', `${name}.key`, '-out', `${name}.csr`, '-subj', `/CN=${name}`)
    const signed = ['-CA', 'ca.pem', '-CAkey', 'ca.key', '-CAcreateserial', '-days', '2', '-extfile', 'names.txt']
    openssl(folder, 'x509', '-req', '-in', `${name}.csr`, '-out', `${name}.pem`, ...signed)
  }
  writeFileSync(join(folder, 'passwords'), `${user}:${password}\n`)
  execFileSync('mosquitto_passwd', ['-U', join(folder, 'passwords')])
  return folder
}

it('TLS with client certificate, user and password from the environment; none of them in log or interface', async () => {
  const folder = certificates()
  const file = (name: string) => join(folder, name)
  const mosquitto = await startMosquitto([
    `cafile ${file('ca.pem')}`,
    `certfile ${file('broker.pem')}`,
    `keyfile ${file('broker.key')}`,
    'require_certificate true',
    'allow_anonymous false',
    `password_file ${file('passwords')}`,
  ])
  onTestFinished(() => mosquitto.remove())
  const url = mosquitto.url.replace('mqtt:', 'mqtts:')
  const environment = {
    QUIET_IRON_MQTT_USER: user,
    QUIET_IRON_MQTT_PASSWORD: password,
    QUIET_IRON_MQTT_CA: file('ca.pem'),
    QUIET_IRON_MQTT_CERT: file('client.pem'),
    QUIET_IRON_MQTT_KEY: file('client.key'),
  }
  let log = ''
  const write = (line: string) => {
    log += line
  }
  const serve = (broker: BrokerAddress) =>
    started({ shop, log: pino({ level: 'trace' }, { write }) }, { broker, embeddedBroker: false, log: 'debug' })

  // without any one of the three it is not let in
  const { QUIET_IRON_MQTT_CERT: _c, QUIET_IRON_MQTT_KEY: _k, ...withoutCertificate } = environment
  const { QUIET_IRON_MQTT_CA: _a, ...withoutAuthority } = environment
  const wrong = [withoutCertificate, withoutAuthority, { ...environment, QUIET_IRON_MQTT_PASSWORD: 'hammer' }]
  for (const less of wrong) {
    log = ''
    const refused = await serve(brokerAddress(url, less))
    await eventually(() => expect(log).toMatch(/cannot be reached|closed the connection/))
    expect(refused.monitor.shop().broker).toBe('away')
    expect(log).not.toMatch(/smith-of|anvil|hammer/)
    await refused.stop()
  }

  // also when they stand in the address itself
  log = ''
  const address = url.replace('//', `//${user}:${encodeURIComponent(password)}@`)
  const { QUIET_IRON_MQTT_USER: _u, QUIET_IRON_MQTT_PASSWORD: _p, ...files } = environment
  for (const broker of [brokerAddress(url, environment), brokerAddress(address, files)]) {
    const service = await serve(broker)
    await eventually(() => expect(service.monitor.shop().broker).toBe('connected'))
    const client = await connectAsync(url, {
      username: user,
      password,
      ca: readFileSync(file('ca.pem')),
      cert: readFileSync(file('client.pem')),
      key: readFileSync(file('client.key')),
    })
    await client.publishAsync('t/s-air', '20.5', { qos: 1 })
    await eventually(() => expect(service.store.latest()).toHaveLength(1))
    await client.endAsync()

    const { paths } = (await (await fetch(`${service.url}/api/openapi.json`)).json()) as { paths: object }
    const addresses = [...Object.keys(paths).filter(path => !/[{]|live/.test(path)), '/api/openapi.json', '/metrics']
    expect(addresses).toContain('/api/shop')
    for (const path of addresses) {
      const answer = await (await fetch(`${service.url}${path}`)).text()
      expect(answer, path).not.toMatch(/smith-of|anvil|PRIVATE KEY/)
    }
    await service.stop()
  }
  expect(log).toContain('Connected to the broker at mqtts://127.0.0.1')
  expect(log).not.toMatch(/smith-of|anvil|PRIVATE KEY/)
})
