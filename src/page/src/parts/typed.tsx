// A field that is typed into.

import { useEffect, useId, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { tool } from '../draw/pen.ts';
import { unnamed } from '../live/selection.ts';
import { focusPlan } from './cross.tsx';

/** A line of text that is taken over when it is left, and goes back to what the plan says. */
export function Typed({
  label,
  shown,
  hint = '',
  wide = false,
  own,
  onSet,
}: {
  label: string;
  shown: string;
  hint?: string;
  wide?: boolean;
  own?: string;
  /** Takes the text over; what is wrong with it, if anything. */
  onSet: (text: string) => string | null | Promise<string | null>;
}) {
  const [text, write] = useState(shown);
  const [fault, blame] = useState<string | null>(null);
  const taken = useRef<string | null>(null);
  const field = useRef<HTMLInputElement>(null);
  const id = useId();
  useEffect(() => {
    write(shown);
    blame(null);
    taken.current = null;
  }, [shown]);
  useLayoutEffect(() => {
    if (!own || unnamed.value !== own) return;
    unnamed.value = null;
    field.current?.focus();
    field.current?.select();
  }, [own, unnamed.value]);
  const leave = async () => {
    const given = text.trim();
    // Enter takes it over, and the field is left after that.
    if (given === taken.current) return;
    taken.current = given;
    if (given === shown) {
      blame(null);
      write(shown);
    } else blame(await onSet(given));
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        ref={field}
        class={wide ? 'wide' : 'short'}
        autocomplete="off"
        maxLength={200}
        value={text}
        placeholder={hint}
        aria-invalid={fault !== null}
        aria-describedby={fault ? `${id}-fault` : undefined}
        onInput={({ currentTarget }) => {
          taken.current = null;
          write(currentTarget.value);
        }}
        onBlur={leave}
        onKeyDown={({ key }) => {
          if (key === 'Enter') {
            leave();
            // The next one can be put up at once.
            if (own && tool.value) focusPlan();
          }
          if (key === 'Escape') {
            write(shown);
            blame(null);
          }
        }}
      />
      {fault && (
        <p class="fault" id={`${id}-fault`} role="alert">
          {fault}
        </p>
      )}
    </div>
  );
}
