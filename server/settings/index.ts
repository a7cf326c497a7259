/** Command line and environment → checked settings, or everything that is wrong with them. */
export { readBackupSettings } from './backup.js'
export { type DemoSettings, readDemoSettings } from './demo.js'
export { readStartSettings, type Settings } from './start.js'
export { keptToken } from './token.js'
export { runCommand, usable } from './usable.js'
