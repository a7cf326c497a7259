import { useEffect } from 'preact/hooks'

/** A screen that goes dark asks for nothing. Browsers grant it on secure pages only; elsewhere the phone's own setting rules. */
export const useStayingAwake = (): void => {
  useEffect(() => {
    let lock: WakeLockSentinel | undefined
    const hold = () => {
      if (document.visibilityState === 'visible')
        navigator.wakeLock?.request('screen').then(
          got => {
            lock = got
          },
          () => undefined,
        )
    }
    hold()
    document.addEventListener('visibilitychange', hold)
    return () => {
      document.removeEventListener('visibilitychange', hold)
      void lock?.release()
    }
  }, [])
}
