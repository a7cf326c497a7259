import type { ComponentChildren } from 'preact'
import { formatTemperature, gaugeScale, lengthScale, massScale, temperatureScale } from '../../core/format.js'
import { materials } from '../../core/materials.js'
import { type SoakingPlace, type Surface, soakingPlaces, surfaces } from '../../core/soak/index.js'
import { setQuery } from '../address.js'
import { Button } from '../frame/button.js'
import { SelectField } from '../frame/fields.js'
import { Choice } from '../frame/switches.js'
import { units } from '../preferences.js'
import { type Asked, limits, shapes, writtenNumber } from './asked.js'
import { QuantityField } from './quantity-field.js'

export const placeWords: Record<SoakingPlace, string> = {
  'still air': 'In still air',
  'steel plate': 'On a steel plate',
  'granite plate': 'On a granite plate',
  'flood coolant': 'Under flood coolant',
}

const surfaceWords: Record<Surface, string> = {
  bright: 'Bright: machined, ground or lapped metal',
  rough: 'Dull: cast, scaled, anodised, painted; stone, glass',
}

interface Props {
  asked: Asked
  /** °C; the shop's, null when no sensor of it is believed */
  air: number | null
}

/** What soaks, from which temperature, where, and how near it must come. */
export const SoakForm = ({ asked, air }: Props) => {
  const system = units.value
  const { kind } = asked.shape
  const { note, sizes } = shapes[kind]
  const set = (key: string) => (value: number) => setQuery({ [key]: writtenNumber(value) })
  const values = Object.values(asked.shape).filter(value => typeof value === 'number')
  const named = <T extends string>(all: readonly T[], words: Record<T, string>) =>
    all.map(value => ({ value, text: words[value] }))
  const group = (legend: string, children: ComponentChildren) => (
    <fieldset class="stack group soak-group">
      <legend>{legend}</legend>
      {children}
    </fieldset>
  )
  return (
    <form class="stack soak-form" onSubmit={event => event.preventDefault()}>
      {group(
        'What it is',
        <>
          <SelectField
            label="Material"
            value={asked.material.name}
            options={materials.map(({ name }) => name)}
            onChange={material => setQuery({ material })}
          />
          <Choice
            legend="What is known of its size"
            value={kind}
            options={Object.entries(shapes).map(([value, { text }]) => ({ value, text }))}
            onChange={shape => setQuery({ shape })}
          />
          <div class="field-pair">
            {sizes.map(({ key, label, of }, i) => (
              <QuantityField
                key={`${kind} ${key}`}
                label={label}
                scale={(of === 'mass' ? massScale : lengthScale)[system]}
                value={values[i] ?? null}
                limits={limits[of]}
                onChange={set(key)}
              />
            ))}
          </div>
          <p class="quiet">{note}</p>
          <SelectField
            label="Surface"
            value={asked.surface}
            options={named(surfaces, surfaceWords)}
            onChange={surface => setQuery({ surface })}
          />
        </>,
      )}
      {group(
        'Where it soaks',
        <>
          <SelectField
            label="It lies"
            value={asked.place}
            options={named(soakingPlaces, placeWords)}
            onChange={place => setQuery({ place })}
          />
          <div class="field-pair">
            <QuantityField
              label="Its temperature at first"
              scale={temperatureScale[system]}
              value={asked.start}
              limits={limits.temperature}
              onChange={set('start')}
            />
            <QuantityField
              label={asked.place === 'flood coolant' ? 'Temperature of the coolant' : 'Temperature around it'}
              scale={temperatureScale[system]}
              value={asked.surroundings ?? air}
              limits={limits.temperature}
              onChange={set('around')}
            />
          </div>
          {asked.surroundings === null ? (
            <p class="quiet">
              {air === null
                ? 'No sensor of the shop air is believed now: say how warm it is.'
                : 'Around it: the shop air now.'}
            </p>
          ) : (
            air !== null && (
              <Button small onClick={() => setQuery({ around: null })}>
                Take the shop air now, {formatTemperature(air, system)}
              </Button>
            )
          )}
        </>,
      )}
      {group(
        'How near it must come',
        <div class="field-pair">
          <QuantityField
            label="Length that counts"
            scale={lengthScale[system]}
            value={asked.length}
            limits={limits.length}
            onChange={set('counts')}
          />
          <QuantityField
            label="Error it may still have"
            scale={gaugeScale[system]}
            value={asked.allowed}
            limits={limits.error}
            onChange={set('error')}
          />
        </div>,
      )}
    </form>
  )
}
