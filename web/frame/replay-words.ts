/** That what is shown is not now. @param speed times as fast as it happened */
export const replayWords = (speed: number): string => (speed === 1 ? 'Replay' : `Replay, ${speed} × as fast`)
