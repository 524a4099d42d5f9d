// What a list makes, drawn as it is typed.

import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Feature, TapeMessage } from '../live/protocol.ts';
import { MARKED, pointOf } from '../plan/places.ts';
import { PlanView } from '../plan/view.ts';
import { type Key, say } from '../words/words.ts';

const nameOf = ({ properties }: Feature): string => String(properties.name ?? '');

/** What stands in the mark of a device: its number, else the letter of its kind. */
const markOf = ({ kind, properties }: Feature): string =>
  String(properties.number ?? say(kind as Key).slice(0, 1));

export function Drawn({ of }: { of: NonNullable<TapeMessage['plan']> }) {
  const target = useRef<HTMLDivElement>(null);
  const marks = useRef<HTMLDivElement>(null);
  const place = useRef<() => void>(() => undefined);
  const [view, setView] = useState<PlanView | null>(null);
  const [wanted, choose] = useState<number | null>(null);
  const { levels, features, bounds } = of;
  const level = levels.find(({ number }) => number === wanted) ?? levels[0];
  const number = level?.number ?? 0;
  const devices = features.filter((one) => MARKED.has(one.kind) && one.level === number);
  const rooms = features.filter(({ kind, level: at }) => kind === 'room' && at === number);
  useEffect(() => {
    if (!target.current) return;
    const made = new PlanView(target.current, () => place.current());
    setView(made);
    return () => made.dispose();
  }, []);
  place.current = () => {
    devices.forEach((device, at) => {
      const point = pointOf(device);
      const pixel = point && view?.pixelOf(point);
      const mark = marks.current?.children[at] as HTMLElement | undefined;
      if (!mark) return;
      mark.style.visibility = pixel ? 'visible' : 'hidden';
      if (pixel) {
        mark.style.transform = `translate(${pixel[0]}px, ${pixel[1]}px) translate(-50%, -50%)`;
      }
    });
  };
  const box = bounds.join(' ');
  useEffect(() => view?.draw(features, number, null), [view, features, number]);
  useEffect(() => view?.fit(box.split(' ').map(Number)), [view, box]);
  useLayoutEffect(() => place.current());
  const things = [
    ...rooms.map(nameOf),
    ...devices.map((one) => say('tapeDevice', { name: nameOf(one), kind: say(one.kind as Key) })),
  ];
  return (
    <>
      {levels.length > 1 && (
        <label class="choice">
          <span class="aloud">{say('level')}</span>
          <select
            value={number}
            onChange={({ currentTarget }) => choose(Number(currentTarget.value))}
          >
            {levels.map((one) => (
              <option key={one.number} value={one.number}>
                {say('levelName', { name: one.name, number: one.number })}
              </option>
            ))}
          </select>
        </label>
      )}
      <div
        class="tape-frame"
        role="img"
        aria-label={`${say('tapePlan')}. ${things.filter(Boolean).join(', ')}`}
      >
        <div class="tape-map" ref={target} />
        <div ref={marks}>
          {devices.map((device) => (
            <span key={device.id} class="tape-mark">
              {markOf(device)}
            </span>
          ))}
        </div>
      </div>
    </>
  );
}
