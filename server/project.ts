import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const rootAbove = (folder: string): string =>
  existsSync(join(folder, 'package.json')) || dirname(folder) === folder ? folder : rootAbove(dirname(folder))

/** the folder of package.json, whether this runs built or from source */
export const projectRoot = rootAbove(dirname(fileURLToPath(import.meta.url)))

export const version = (JSON.parse(readFileSync(join(projectRoot, 'package.json'), 'utf8')) as { version: string })
  .version

/** where the built pages lie */
export const pagesFolder = join(projectRoot, 'dist', 'pages')
