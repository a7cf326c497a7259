/** Environment: what a machine at rest does with its surroundings' changes (ETVE in the manner of ISO 230-3), and how its surroundings keep to limits. */
export * from './compare.js'
export * from './limits.js'
export * from './record.js'
export * from './sensitivity.js'
export * from './subjects.js'
export * from './window.js'
