// What would help a device: which remedies are worth showing, and in which order.

import type { ExplainMessage, Finding, Remedy } from './protocol.ts';

/** From the least work to the most; a limit nobody builds, it shows how much a part takes. */
const EFFORT = ['mounting', 'clearing', 'moving', 'wiring', 'repeater', 'panel', 'limit'];
const RANK: Record<Finding, number> = { sound: 0, thin: 1, failing: 2 };
/** A remedy that gains less, and betters no finding, is not worth the work, dB. */
const WORTH_DB = 1;
const MOST_REPEATERS = 3;

const work = ({ effort }: Remedy): number => EFFORT.indexOf(effort);

/** The remedies that are worth showing, the least work first, as the command shows them. */
export function worthwhile({ sensor, remedies }: ExplainMessage): Remedy[] {
  let repeaters = 0;
  const shown = remedies.filter((remedy) => {
    if (remedy.effort === 'limit') return false;
    const isWorth =
      sensor.finding === 'sound'
        ? !remedy.uncertain && work(remedy) < EFFORT.indexOf('wiring')
        : remedy.gain_db >= WORTH_DB || RANK[remedy.finding] < RANK[sensor.finding];
    if (!isWorth) return false;
    repeaters += Number(remedy.effort === 'repeater');
    return remedy.effort !== 'repeater' || repeaters <= MOST_REPEATERS;
  });
  // Of equal work the lower chance of a fault stays first.
  return shown.sort((one, other) => work(one) - work(other));
}

/** What taking the heaviest part away would bring, if anything. */
export const limitOf = ({ remedies }: ExplainMessage): Remedy | null =>
  remedies.find(({ effort, action }) => effort === 'limit' && action === 'take-away') ?? null;
