// The strip of tools, and what can be done with the one in use.

import { signal } from '@preact/signals';
import type { ManyTool } from '../draw/many.ts';
import {
  cross,
  end,
  pointBy,
  pointing,
  setPoint,
  step,
  takeBack,
  takeUp,
  tool,
  type Way,
} from '../draw/pen.ts';
import { GROUPS, type Tool } from '../draw/tool.ts';
import { TOOLS } from '../draw/tools.ts';
import { plan } from '../live/state.ts';
import { type Key, say } from '../words/words.ts';
import { focusPlan } from './cross.tsx';
import { LegFields } from './leg_fields.tsx';
import { Steps } from './steps.tsx';
import { ToolSign } from './tool_sign.tsx';

const WAYS: { by: Way; words: Key }[] = [
  { by: 'drag', words: 'byDrag' },
  { by: 'aim', words: 'byAim' },
];

/** The tool at which Tab stops. */
const stop = signal(TOOLS[0]?.name ?? '');

function ToolButton({ one }: { one: Tool }) {
  const isIn = tool.value === one;
  return (
    <button
      type="button"
      class="tool"
      data-tool={one.name}
      aria-pressed={isIn}
      tabIndex={stop.value === one.name ? 0 : -1}
      onFocus={() => {
        stop.value = one.name;
      }}
      onClick={() => {
        takeUp(isIn ? null : one);
        if (!isIn) focusPlan();
        // On a narrow page plan and buttons come together onto the screen.
        if (!isIn && matchMedia('(max-width: 60rem)').matches) {
          document.querySelector('.tool-bar')?.scrollIntoView({ block: 'start' });
        }
      }}
    >
      <ToolSign name={one.name} />
      <span>{say(one.words)}</span>
    </button>
  );
}

/** One stop for Tab; arrows go from tool to tool. */
function along(event: KeyboardEvent): void {
  const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  const strip = event.currentTarget as HTMLElement;
  const all = [...strip.querySelectorAll<HTMLElement>('.tool')];
  const at = all.indexOf(document.activeElement as HTMLElement);
  if (!by || at < 0) return;
  event.preventDefault();
  all[(at + by + all.length) % all.length]?.focus();
}

export function ToolBar() {
  if (!plan.value) return null;
  return (
    <div class="tool-bar" role="toolbar" aria-label={say('tools')} onKeyDown={along}>
      {GROUPS.map((group) => {
        const of = TOOLS.filter((one) => one.group === group);
        return of.length === 0 ? null : (
          <fieldset key={group} class="tool-group" aria-label={say(`group-${group}`)}>
            {of.map((one) => (
              <ToolButton key={one.name} one={one} />
            ))}
          </fieldset>
        );
      })}
    </div>
  );
}

/** What is done with the tool in use: how to point, setting, taking back, ending. */
export function InUse() {
  const { value } = tool;
  if (!value) return null;
  const { Options } = value;
  const count = value.points.value.length;
  return (
    <section class="in-use" aria-label={say('inUse', { tool: say(value.words) })}>
      <div class="row">
        <strong>{say(value.words)}</strong>
        <fieldset class="switch">
          <legend class="aloud">{say('pointing')}</legend>
          {WAYS.map(({ by, words }) => (
            <label key={by}>
              <input
                type="radio"
                name="pointing"
                checked={pointing.value === by}
                onChange={() => pointBy(by)}
              />
              <span>{say(words)}</span>
            </label>
          ))}
        </fieldset>
        <button type="button" disabled={count === 0} onClick={takeBack}>
          {say('takeBack')}
        </button>
        <button type="button" onClick={end}>
          {say(count === 0 ? 'putAway' : 'endIt')}
        </button>
      </div>
      {pointing.value === 'aim' && (
        <div class="row aiming">
          <Steps label={({ words }) => say(words)} onStep={(by) => step(by, false)} />
          <button type="button" class="main set-point" disabled={!cross.value} onClick={setPoint}>
            {say('setPoint')}
          </button>
        </div>
      )}
      {'leg' in value && <LegFields of={value as ManyTool} />}
      {Options && <Options />}
      <p class="quiet">
        {say(value.hint)}{' '}
        <span class="for-touch">
          {pointing.value === 'drag' ? say('hintFinger') : say('hintAim')}
        </span>
        <span class="for-mouse">{say('hintKeys')}</span>
      </p>
    </section>
  );
}
