// The devices, the worst first.

import type { Device } from '../live/protocol.ts';
import { choose, chosen, devices, level, plan, show, table } from '../live/state.ts';
import { foreign, say, sayArea, sayFinding, sayReserve, sayShare } from '../words/words.ts';
import { wanted } from './details.tsx';
import { nameOfDevice, sayFault } from './finding_words.ts';
import { outlineOf, Sign } from './sign.tsx';

/** What the program says of a device; otherwise nothing. */
const whyOf = (id: string): string | undefined => table.value?.words?.devices?.[id]?.why;

function Row({ device }: { device: Device }) {
  const feature = plan.value?.features.find(({ id }) => id === device.id);
  const elsewhere = feature && feature.level !== level.value;
  const levelName = plan.value?.levels.find(({ number }) => number === feature?.level)?.name;
  const why = whyOf(device.id);
  const isChosen = chosen.value === device.id;
  return (
    <li>
      <button
        type="button"
        class={`device ${device.finding}`}
        aria-pressed={isChosen}
        onClick={() => {
          if (feature && elsewhere) show(feature.level);
          choose(isChosen ? null : device.id);
          wanted.value = !isChosen;
        }}
      >
        <Sign finding={device.finding} outline={outlineOf(device.kind)} />
        <span class="name">{nameOfDevice(device)}</span>
        <span class="main-figure">
          {device.supervised ? say('aYear', { chance: sayFault(device) }) : sayFault(device)}
        </span>
        <span class="rest">
          {sayFinding(device.finding)} · {sayReserve(device.margin_db)}
          {elsewhere && ` · ${say('onLevel', { level: levelName ?? '' })}`}
          {device.via && ` · ${say('via', { listener: device.via })}`}
        </span>
        {why && (
          <span class="why" lang={foreign(table.value)}>
            {why}
          </span>
        )}
      </button>
    </li>
  );
}

function Roams() {
  const roams = table.value?.check.roams ?? [];
  if (roams.length === 0) return null;
  return (
    <>
      <h3>{say('roams')}</h3>
      <ul class="plain">
        {roams.map(({ id, name, share, area_m2 }) => (
          <li key={id}>
            {say('roamWorks', {
              name,
              share: sayShare(share),
              area: sayArea(area_m2),
            })}
          </li>
        ))}
      </ul>
    </>
  );
}

export function DeviceList() {
  return (
    <section aria-labelledby="devices-title">
      <h2 id="devices-title">{say('devices')}</h2>
      {devices.value.length === 0 && <p class="quiet">{say('noForecast')}</p>}
      <ul class="devices">
        {devices.value.map((device) => (
          <Row key={device.id} device={device} />
        ))}
      </ul>
      <Roams />
    </section>
  );
}
