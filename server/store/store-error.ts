/** The database cannot be used; the message says what, where and what to do. Nothing was changed on disk. */
export class StoreError extends Error {
  override name = 'StoreError'
}
