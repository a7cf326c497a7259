import type { ComponentChildren } from 'preact'
import { formatDuration, formatExpansion, formatLength, formatShare, formatTolerance } from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import type { Axis, Shop } from '../../core/shop.js'
import type { Verdict } from '../../core/state.js'
import { Heading, shopPage } from '../frame/frame.js'
import { Table } from '../frame/table.js'
import { advice, shopState, version } from '../live/state.js'
import { units } from '../preferences.js'
import { VerdictMark } from '../shapes/verdict.js'
import { unbroken } from '../words.js'
import { Stored } from './stored.js'
import './about.css'

const meanings: readonly { verdict: Verdict; meaning: string }[] = [
  {
    verdict: 'fit',
    meaning: 'Heat takes no more of the tolerance than the work class grants it, and every sensor needed is believed.',
  },
  {
    verdict: 'settling',
    meaning:
      'Not fit now. It will be, at about the time named beside it, if doors, vents and heat sources go on as usual.',
  },
  {
    verdict: 'unfit',
    meaning: 'Not fit, and as things stand it will not become so. The reason says what stands in the way.',
  },
  {
    verdict: 'unknown',
    meaning: 'It cannot be told: a sensor the verdict needs is missing, late or not believed. Treat it as unfit.',
  },
]

const Panel = ({ id, title, children }: { id: string; title: string; children: ComponentChildren }) => (
  <section class="panel" aria-labelledby={id}>
    <h2 id={id}>{title}</h2>
    {children}
  </section>
)

const measuring = ({ measuring: m, readsDiameter }: Axis): string => {
  const reads = readsDiameter ? ', reads a diameter' : ''
  if (m.kind === 'scale') return `scale of ${m.material.name}${reads}`
  const held = m.mounting.kind === 'one end fixed' ? 'one end fixed' : 'both ends fixed, pretensioned'
  return `screw of ${m.material.name}, ${held}${reads}`
}

const WorkClasses = ({ shop }: { shop: Shop }) => (
  <Table
    caption="Work classes"
    rows={shop.workClasses}
    keyOf={({ id }) => id}
    columns={[
      { head: 'Work class', names: true, cell: ({ name }) => name },
      ['Tolerance', ({ tolerance }) => formatTolerance(tolerance, units.value)],
      ['Feature', ({ featureLength }) => formatLength(featureLength, units.value)],
      {
        head: 'Material',
        cell: ({ material }) => unbroken(`${material.name}, ${formatExpansion(material.alpha, units.value)}`),
      },
      ['Duration', ({ duration }) => formatDuration(duration)],
      ['Heat may take', ({ share }) => formatShare(share)],
      { head: 'Zero set at', cell: ({ zeroedAt }) => (zeroedAt === 'datum' ? 'the datum' : 'the job’s start') },
    ]}
  />
)

const Machines = ({ shop }: { shop: Shop }) => (
  <Table
    caption="Machines"
    rows={shop.machines}
    keyOf={({ id }) => id}
    columns={[
      {
        head: 'Machine',
        names: true,
        cell: ({ id, name, description }) => (
          <>
            <a href={`/machine/${encodeURIComponent(id)}`}>{name}</a>
            <p class="quiet">{description}</p>
          </>
        ),
      },
      { head: 'Place', cell: ({ place }) => place },
      {
        head: 'Axes',
        form: 'note',
        plain: 'on a card',
        cell: ({ axes }) =>
          axes.map(axis => (
            <p key={axis.id}>{unbroken(`${axis.id} ${formatLength(axis.travel, units.value)}, ${measuring(axis)}`)}</p>
          )),
      },
      { head: 'Nodes', form: 'note', cell: ({ nodes }) => nodes.map(n => n.name).join(', ') },
      {
        head: 'Disturbed by',
        form: 'note',
        cell: ({ exposedTo }) => exposedTo.map(id => nameOf(shop.sources, id)).join(', ') || 'nothing named',
      },
    ]}
  />
)

const Sources = ({ shop }: { shop: Shop }) => {
  const told = new Set(shop.sensors.flatMap(s => (s.unit === 'state' && s.at.kind === 'source' ? [s.at.source] : [])))
  if (shop.sources.length === 0) return <p class="empty">The shop file names no doors, vents or heat sources.</p>
  return (
    <ul class="about-list">
      {shop.sources.map(s => (
        <li key={s.id}>
          <strong>{s.name}</strong>{' '}
          <span class="quiet">
            {s.kind}
            {told.has(s.id) ? ', a contact tells its state' : ', no contact'}
          </span>
        </li>
      ))}
    </ul>
  )
}

const Content = ({ shop }: { shop: Shop }) => {
  return (
    <>
      <Heading text="About">
        Quiet Iron {version.value} in {shop.name}
      </Heading>
      {shopState.value?.shopProblem && (
        <section class="panel" aria-labelledby="shop-file" role="alert">
          <h2 id="shop-file">The shop file is wrong</h2>
          <p>It was changed, and nothing of the change is in force: the file that was read before is.</p>
          <pre class="shop-problem">{shopState.value.shopProblem}</pre>
        </section>
      )}
      <section class="panel safety" aria-labelledby="safety">
        <h2 id="safety">Safety</h2>
        <p>{advice.value}</p>
      </section>
      <div class="about-columns">
        <Panel id="verdicts" title="What the verdicts mean">
          <dl class="meanings">
            {meanings.map(({ verdict, meaning }) => (
              <div key={verdict}>
                <dt>
                  <VerdictMark verdict={verdict} />
                </dt>
                <dd>{meaning}</dd>
              </div>
            ))}
          </dl>
        </Panel>
        <Panel id="index" title="How much heat takes">
          <p>
            Each verdict is for a work class: so long a feature, of that material, taking so long, to such a tolerance.
            For every axis the service adds up what heat does to such a job begun now:
          </p>
          <ol class="steps">
            <li>by how much the feature comes out long or short, because screw or scale and part are not at 20 °C;</li>
            <li>how far the axis drifts while the job runs, or has drifted since the datum;</li>
            <li>how uncertain all that is, at two standard deviations.</li>
          </ol>
          <p class="formula">(size error + drift + uncertainty) ÷ tolerance = thermal error index</p>
          <p>
            The worst axis decides. The machine is fit while its index is no more than the share granted to heat: on the
            wall, while every mark with its whisker lies within the shaded part of the tolerance window.
          </p>
          <p class="quiet">
            Idea and name of the index: ASME B89.6.2. Reference temperature: ISO 1. Uncertainty: JCGM 100 (GUM).
          </p>
        </Panel>
      </div>
      <Panel id="classes" title="Work classes">
        <WorkClasses shop={shop} />
      </Panel>
      <Panel id="machines" title="Machines">
        <Machines shop={shop} />
      </Panel>
      <Panel id="sources" title="Doors, vents and heat sources">
        <Sources shop={shop} />
      </Panel>
      <Panel id="stored" title="What is stored">
        <Stored zone={shop} />
      </Panel>
      <p class="quiet">
        All of this comes from the shop file; to change it, edit the file: a change takes effect by itself. Other
        programs can read <a href="/api/openapi.json">a description of the interface</a>.
        {shop.invented && ' This shop, its machines and all its data are invented.'}
      </p>
    </>
  )
}

export const AboutPage = shopPage('About', Content)
