export { createMonitor, type MonitorStart } from './live-monitor.js'
export type { Monitor, MonitorChange } from './monitor.js'
export { renewableMonitor } from './renewable.js'
