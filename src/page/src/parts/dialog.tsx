// A button that opens a window over the page. What is in it is made when it opens.

import type { ComponentChildren } from 'preact';
import { useId, useRef, useState } from 'preact/hooks';
import { type Key, say } from '../words/words.ts';

export function Dialog({
  opener,
  title,
  children,
}: {
  opener: Key;
  title: Key;
  children: () => ComponentChildren;
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
          dialog.current?.showModal();
        }}
      >
        {say(opener)}
      </button>
      <dialog ref={dialog} aria-labelledby={id} onClose={() => open(false)}>
        {isOpen && (
          <>
            <div class="row spread">
              <h2 id={id}>{say(title)}</h2>
              <button type="button" onClick={() => dialog.current?.close()}>
                {say('close')}
              </button>
            </div>
            {children()}
          </>
        )}
      </dialog>
    </>
  );
}
