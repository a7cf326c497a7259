import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliCompressSync, constants, gzipSync } from 'node:zlib'
import type { Plugin } from 'vite'

const compressible = /\.(html|js|css|svg)$/

/** Compresses what was built, once and as far as it goes, and says how large each file is as it travels. */
export const compressed = (): Plugin => {
  let folder = ''
  return {
    name: 'compressed',
    apply: 'build',
    configResolved({ root, build }) {
      folder = join(root, build.outDir)
    },
    closeBundle() {
      const sums = [0, 0, 0]
      const line = (name: string, sizes: readonly number[]) =>
        console.log(`${name.padEnd(44)}${sizes.map(size => `${(size / 1000).toFixed(1)} kB`.padStart(12)).join('')}`)
      console.log(
        `${'sizes, and as they travel:'.padEnd(44)}${['as built', 'gzip', 'brotli'].map(n => n.padStart(12)).join('')}`,
      )
      for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort()) {
        if (!compressible.test(name)) continue
        const file = join(folder, name)
        const bytes = readFileSync(file)
        const gzip = gzipSync(bytes, { level: constants.Z_BEST_COMPRESSION })
        const brotli = brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length } })
        writeFileSync(`${file}.gz`, gzip)
        writeFileSync(`${file}.br`, brotli)
        const sizes = [bytes.length, gzip.length, brotli.length]
        for (const [i, size] of sizes.entries()) sums[i]! += size
        line(name, sizes)
      }
      line('all', sums)
    },
  }
}
