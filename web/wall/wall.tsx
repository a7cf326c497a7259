import { useEffect, useState } from 'preact/hooks'
import type { Shop } from '../../core/shop.js'
import { query, setQuery } from '../address.js'
import { windowScale } from '../charts/scale.js'
import { ScaleNumbers } from '../charts/scale-numbers.js'
import { Interruption, Troubles } from '../frame/interruption.js'
import { Links } from '../frame/links.js'
import { Switches } from '../frame/switches.js'
import { classState } from '../live/class-state.js'
import { advice, machines, newestReading, now, shop, shopProblem, shopState, stopped, troubles } from '../live/state.js'
import { units } from '../preferences.js'
import { commonCauseInWords } from '../words.js'
import { mainCauses } from './causes.js'
import { Lane } from './lane.js'
import { type WallLayout, wallLayout } from './layout.js'
import { SourceStrip } from './source-strip.js'
import { countVerdicts, nextClass, notFitFirst, rotation } from './summary.js'
import { WallFoot } from './wall-foot.js'
import { Air, ClassSwitch, Clock, Summary } from './wall-head.js'
import './wall.css'
import './head.css'
import './screen.css'
import './wide.css'
import './tall.css'
import './rows.css'
import './list.css'

/** ms; after this without pointer or key the wall's controls and the pointer itself go away */
const rest = 5000

const useLayout = (count: number): WallLayout => {
  const [size, setSize] = useState({ width: innerWidth, height: innerHeight })
  useEffect(() => {
    const measure = () => setSize({ width: innerWidth, height: innerHeight })
    addEventListener('resize', measure)
    return () => removeEventListener('resize', measure)
  }, [])
  return wallLayout(size.width, size.height, count)
}

/** true while somebody is at the screen */
const useAttended = (): boolean => {
  const [attended, setAttended] = useState(false)
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined
    const notice = () => {
      setAttended(true)
      clearTimeout(timer)
      timer = setTimeout(() => setAttended(false), rest)
    }
    const kinds = ['pointermove', 'pointerdown', 'keydown'] as const
    for (const kind of kinds) addEventListener(kind, notice, { passive: true })
    return () => {
      clearTimeout(timer)
      for (const kind of kinds) removeEventListener(kind, notice)
    }
  }, [])
  return attended
}

const useRotation = (seconds: number | null, classes: Shop['workClasses'], present: string | undefined): void => {
  useEffect(() => {
    if (seconds === null || present === undefined || classes.length < 2) return
    const timer = setTimeout(() => {
      // somebody choosing a class is not to have it changed under their hands
      if (document.activeElement instanceof HTMLSelectElement) document.activeElement.blur()
      setQuery({ class: nextClass(classes, present) ?? null })
    }, seconds * 1000)
    return () => clearTimeout(timer)
  }, [seconds, classes, present])
}

/** before the shop is known there are no lanes to show */
const Empty = () => (
  <main class="empty-wall">
    <h1 class="hidden" tabIndex={-1}>
      Quiet Iron
    </h1>
    <p class="interruption-fact">{shopProblem.value ? 'No connection' : 'Connecting …'}</p>
    <p role="status">{shopProblem.value && `${shopProblem.value} This page tries again by itself.`}</p>
  </main>
)

export const Wall = () => {
  const theShop = shop.value
  const classes = theShop?.workClasses ?? []
  const shown = classes.find(c => c.id === query.value.get('class')) ?? classes[0]
  const rotating = rotation(query.value.get('rotate'))
  const layout = useLayout(theShop?.machines.length ?? 0)
  const attended = useAttended()
  useRotation(rotating, classes, shown?.id)
  useEffect(() => {
    document.title = `${theShop?.name ?? 'Quiet Iron'} · wall`
  }, [theShop?.name])

  if (!theShop || !shown) return <Empty />

  const system = units.value
  const interrupted = stopped.value
  const believed = interrupted === null
  const scale = windowScale(shown)
  const all = theShop.machines.map(machine => ({
    machine,
    state: believed ? classState(machines.value.get(machine.id), shown.id) : undefined,
  }))
  const zone = theShop
  const moment = now.value
  const list = layout.form === 'list'
  const rows = layout.lanes === 'rows'
  const common = believed ? shopState.value?.common.find(({ workClass }) => workClass === shown.id) : undefined
  const lanes = rows && believed ? notFitFirst(all) : all

  const controls = (
    <div class="wall-controls">
      <Links />
      <Switches />
    </div>
  )

  return (
    <main
      class={`wall ${list ? '' : 'is-screen'} is-${layout.form} lanes-${layout.lanes} columns-${layout.columns} ${believed ? '' : 'is-stopped'} ${attended ? 'is-attended' : ''}`}
      style={{
        '--u': list ? '0.0625rem' : `${layout.unit}px`,
        '--lanes': Math.ceil(lanes.length / layout.columns),
        '--columns': layout.columns,
      }}
    >
      {list && controls}
      <h1 class="hidden" tabIndex={-1}>
        {theShop.name}: which machines are fit for {shown.name}
      </h1>
      <header class="wall-head">
        <Clock now={moment} zone={zone} />
        <Air state={believed ? shopState.value : null} reference={theShop.referenceTemperature} />
        <Summary counts={countVerdicts(all.map(lane => lane.state))} believed={believed} />
        <ClassSwitch
          shop={theShop}
          shown={shown}
          rotating={rotating}
          onClass={id => setQuery({ class: id })}
          onRotate={() => setQuery({ rotate: rotating === null ? '20' : null })}
        />
      </header>
      <SourceStrip
        shop={theShop}
        state={believed ? shopState.value : null}
        share={shown.share}
        now={moment ?? 0}
        common={common ? commonCauseInWords(common, { system, zone, now: moment ?? 0 }) : null}
        causes={rows ? mainCauses(all.map(lane => lane.state)) : []}
      />
      {!list && !rows && <ScaleNumbers scale={scale} />}
      <ul class="lanes">
        {lanes.map(({ machine, state }) => (
          <Lane
            key={machine.id}
            machine={machine}
            state={state}
            instead={believed ? 'Unknown' : interrupted.kind === 'connecting' ? '…' : 'No data'}
            scale={scale}
            now={moment ?? 0}
            zone={zone}
            saidForAll={common?.machines.includes(machine.id) ?? false}
            form={list ? 'card' : rows ? 'row' : 'lane'}
            search={`?class=${encodeURIComponent(shown.id)}`}
          />
        ))}
      </ul>
      <WallFoot
        now={moment}
        newest={newestReading.value}
        invented={theShop.invented}
        replay={theShop.replay}
        withLegend={!rows}
      />
      {!list && controls}
      {interrupted && interrupted.kind !== 'connecting' && (
        <Interruption kind={interrupted} now={moment} zone={zone} form="over everything" />
      )}
      {!interrupted && troubles.value.length > 0 && <Troubles all={troubles.value} />}
      {list && <p class="list-advice">{advice.value}</p>}
    </main>
  )
}
