/** The handbook's chapters in the order in which one would read them; each is a file here, and what it is called in links. */
export const chapters = [
  { id: 'demo', text: 'The demo' },
  { id: 'real-shop', text: 'A real shop' },
  { id: 'morning', text: 'A morning with it' },
  { id: 'pages', text: 'The pages' },
  { id: 'verdicts', text: 'What a verdict means' },
  { id: 'sensors', text: 'Which sensors are believed' },
  { id: 'trust', text: 'How far to trust it' },
  { id: 'measuring', text: 'Measuring the machine' },
  { id: 'heating', text: 'Heating start' },
  { id: 'soaking', text: 'Soaking parts and gauges' },
  { id: 'alignment', text: 'Alignment record' },
  { id: 'spindle', text: 'Testing a spindle' },
  { id: 'was-it-heat', text: 'Finding out whether it was heat' },
  { id: 'records', text: 'Records and limits' },
  { id: 'recordings', text: 'Recordings' },
  { id: 'when-something-fails', text: 'When something fails' },
  { id: 'shop-file', text: 'The shop file' },
  { id: 'mqtt', text: 'MQTT topics and payloads' },
  { id: 'performance', text: 'Performance' },
] as const

export type ChapterId = (typeof chapters)[number]['id']
