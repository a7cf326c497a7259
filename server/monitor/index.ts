export { createMonitor, type LiveMonitor, type MonitorStart } from './live-monitor.js'
export type { Monitor, MonitorChange } from './monitor.js'
export { type RenewableMonitor, renewableMonitor } from './renewable.js'
export { anewIn } from './shop-change.js'
