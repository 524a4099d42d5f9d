// A button that opens a window over the page. What is in it is made when it opens.

import type { ComponentChildren } from 'preact';
import { useId, useRef, useState } from 'preact/hooks';
import { type Key, say } from '../words/words.ts';

export function Dialog({
  opener,
  title,
  look,
  opened,
  children,
}: {
  opener: Key;
  title: Key;
  /** How it looks. */
  look?: string;
  /** Done when it opens. */
  opened?: () => void;
  children: (close: () => void) => ComponentChildren;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const [isOpen, open] = useState(false);
  const id = useId();
  return (
    <>
      <button
        type="button"
        aria-haspopup="dialog"
        onClick={() => {
          open(true);
          opened?.();
          dialog.current?.showModal();
        }}
      >
        {say(opener)}
      </button>
      <dialog ref={dialog} class={look} aria-labelledby={id} onClose={() => open(false)}>
        {isOpen && (
          <>
            <div class="row spread">
              <h2 id={id}>{say(title)}</h2>
              <button type="button" onClick={() => dialog.current?.close()}>
                {say('close')}
              </button>
            </div>
            {children(() => dialog.current?.close())}
          </>
        )}
      </dialog>
    </>
  );
}
