// A button for each arrow, which moves a thing or the cross by one step.

import { ARROWS, type Arrow, arrowBy, STEP_M } from '../live/arrows.ts';
import type { Point } from '../live/protocol.ts';
import { say } from '../words/words.ts';

const usual = ({ sign }: Arrow): string => say('step', { sign: `${sign} 10 cm` });

export const Steps = ({
  label = usual,
  onStep,
}: {
  label?: (arrow: Arrow) => string;
  onStep: (by: Point) => void;
}) =>
  ARROWS.map((arrow) => (
    <button
      type="button"
      key={arrow.key}
      aria-label={label(arrow)}
      onClick={() => onStep(arrowBy(arrow.key, STEP_M) as Point)}
    >
      {arrow.sign}
    </button>
  ));
