/** A small invented shop with every kind of section in it; the tests put mistakes into it. */
export const smallShop = `shop:
  name: Small shop (invented)
  time zone: America/Chicago
  reference temperature: 68 °F
  invented: true
materials:
  screw steel: { expansion: 12 µm/m/K ± 4 % }
  own glass: { expansion: 8.4e-6 /K, uncertainty: 2 %, source: invented certificate }
sources:
  dock-door: { name: Dock door, kind: door }
  oven: { kind: heat source }
work classes:
  bores: { name: Bores, tolerance: 0.0009 in, feature: 4 in, material: 6061 aluminum, duration: 45 min, share: 30 % }
  plates: { tolerance: IT7 at 100 mm, feature: 400 mm, material: steel, duration: 2 h, share: 25 %, zeroed at: datum }
machines:
  mill-a:
    name: Mill A
    description: vertical
    place: by the door
    makes: [Pump housing, Shaft*, bores]
    exposed to: [dock-door, oven]
    nodes:
      air: { name: air at the machine, kind: air, placement: 0.3 K }
      screw: { name: X screw, follows: air, time constant: 45 min ± 20 %, steady excess: 1.5 K }
      bed: { follows: air, time constant: 4 h }
      front: { follows: air, time constant: 3 h ± 1 h, stand-in: { node: rear, uncertainty: 0.8 K } }
      rear: { follows: air, time constant: 90 min ± 30 % }
      lamp: { kind: air, required: false }
    axes:
      X: { travel: 20 in, work at: 10 in, screw: { material: screw steel, fixed at: -80 mm, mounting: one end fixed, nodes: screw } }
      Y:
        travel: 400 mm
        work at: 150 mm
        screw:
          material: steel
          fixed at: 0 mm
          mounting: both ends fixed
          stretch: 3 K
          bed: { material: grey iron, nodes: bed }
          nodes: screw
      Z: { travel: 300 mm, work at: 300 mm, scale: { material: own glass, fixed at: 150 mm, nodes: { front: 0.25, rear: 75 % } } }
    structure:
      - { bar: column, axis: Z, sign: '+', length: 600 mm, material: grey iron, nodes: { front: 0.5, rear: 0.5 } }
      - { bending column: column, axis: Y, sign: '-', height: 700 mm, depth: 350 mm, material: grey iron, front: front, rear: rear }
    workpiece: { node: air, uncertainty: 0.5 °F, time constant: 1 h }
sensor defaults: { interval: 10 s, uncertainty: 0.05 K, payload: { value: value, time: time } }
sensors:
  a-air: { name: Mill A air, topic: a/air, at: mill-a/air }
  a-screw: { topic: a/screw, at: mill-a/screw, unit: °F, offset: 0.9 °F, payload: number }
  a-bed: { topic: a/both, at: mill-a/bed, payload: { value: data.bed } }
  a-rear: { topic: a/both, at: mill-a/rear, payload: { value: data.rear } }
  door: { topic: door, at: beside dock-door, unit: state, interval: 60 s, payload: { value: state, time: time } }
  hall: { topic: hall, at: shop air }
  yard: { topic: yard, at: outdoors, unit: K, uncertainty: 0.3 K }
`

/** The shop with one text replaced; says so when the text is not there, because then the test would test nothing. */
export const changed = (written: string, instead: string, shop = smallShop): string => {
  if (shop.split(written).length !== 2) throw new Error(`"${written}" is not there exactly once`)
  return shop.replace(written, () => instead)
}

export const lineOf = (text: string, shop: string): number => {
  const at = shop.indexOf(text)
  if (at < 0) throw new Error(`"${text}" is not in the shop`)
  return shop.slice(0, at).split('\n').length
}
