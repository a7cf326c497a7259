import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { createLog } from '../../server/log.js'

const written = () => {
  const lines: string[] = []
  const spy = vi.spyOn(process.stdout, 'write').mockImplementation(text => {
    lines.push(String(text))
    return true
  })
  onTestFinished(() => {
    spy.mockRestore()
  })
  return lines
}

describe('the log on a terminal', () => {
  it('is lines for a person', () => {
    const lines = written()
    const log = createLog('info', true)
    log.info('stopped')
    log.warn({ machine: 'mill-1' }, 'slow')
    log.debug('not shown')
    expect(lines).toHaveLength(2)
    expect(lines[0]).toMatch(/^\d\d:\d\d:\d\d stopped\n$/)
    expect(lines[1]).toMatch(/^\d\d:\d\d:\d\d warning: slow machine="mill-1"\n$/)
  })

  it('tells where an error came from', () => {
    const lines = written()
    createLog('info', true).error({ err: new Error('broken') }, 'a request failed')
    expect(lines[0]).toMatch(/ERROR a request failed\nError: broken\n\s+at /)
  })

  it('never holds a secret', () => {
    const lines = written()
    createLog('info', true).info(
      { token: 'hidden-word', password: 'hidden-word', req: { headers: { authorization: 'hidden-word' } } },
      'x',
    )
    expect(lines.join('')).not.toContain('hidden-word')
  })
})
