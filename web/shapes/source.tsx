import type { Source } from '../../core/shop.js'

const drawings: Record<Source['kind'], string> = {
  // a frame with its leaf swung out
  door: 'M4 22V2h16v20M4 2l8 4v18l-8-2',
  // a louvre with air coming out
  vent: 'M3 3h18M3 8h18M7 13v8m5-8v8m5-8v8',
  // a body giving off heat
  'heat source': 'M4 22h16v-7H4zM7 11c-2-3 2-4 0-8m5 8c-2-3 2-4 0-8m5 8c-2-3 2-4 0-8',
}

export const SourceShape = ({ kind }: { kind: Source['kind'] }) => (
  <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
    <path d={drawings[kind]} fill="none" stroke="currentColor" stroke-width="2.2" stroke-linejoin="round" />
  </svg>
)
