import type { Shop } from '../core/shop.js'
import { readShop } from '../server/shop/index.js'

/** The shop of `simulators/demo-shop.yaml`. */
export const demoShop = (): Shop => {
  const read = readShop(new URL('../simulators/demo-shop.yaml', import.meta.url).pathname)
  if ('problems' in read) throw new Error('the demo shop file does not parse')
  return read.shop
}

/** The same shop with some of its machines alone. @param ids of machines */
export const demoShopOf = (...ids: string[]): Shop => {
  const shop = demoShop()
  return {
    ...shop,
    machines: shop.machines.filter(({ id }) => ids.includes(id)),
    sensors: shop.sensors.filter(({ at }) => at.kind !== 'node' || ids.includes(at.machine)),
  }
}

/**
 * The same shop for one kind of work: following it costs that much less, where a test asks of no other.
 *
 * @param workClass its id
 */
export const demoShopFor = (workClass: string): Shop => {
  const shop = demoShop()
  return { ...shop, workClasses: shop.workClasses.filter(({ id }) => id === workClass) }
}
