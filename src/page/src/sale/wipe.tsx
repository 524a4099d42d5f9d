// One plan twice under a line that is drawn across it: without on its left, with on its right.

import { useRef, useState } from 'preact/hooks';
import { say } from '../words/words.ts';
import { type OfferLevel, type Shots, shareAt } from './offer.ts';

/** A side of which less is seen than this has no name, per cent. */
const LEAST = 8;
const sideClass = (side: 'before' | 'after', seen: number): string =>
  `wipe-side ${side}${seen < LEAST ? ' gone' : ''}`;

export function Picture({ shots, hidden }: { shots: Shots; hidden?: boolean }) {
  const [narrow, wide] = shots;
  const data = (png: string) => `data:image/png;base64,${png}`;
  return (
    <picture>
      <source
        media="(min-width: 48rem)"
        srcset={data(wide.png)}
        width={wide.width}
        height={wide.height}
      />
      <img
        src={data(narrow.png)}
        width={narrow.width}
        height={narrow.height}
        alt={hidden ? '' : narrow.alt}
        draggable={false}
      />
    </picture>
  );
}

export function Wipe({ name, without, after }: { name: string; without: Shots; after: Shots }) {
  const frame = useRef<HTMLDivElement>(null);
  const [at, put] = useState(50);
  const follow = ({ clientX }: PointerEvent) => {
    const box = frame.current?.getBoundingClientRect();
    if (box) put(shareAt(clientX, box));
  };
  return (
    <figure class="wipe">
      <div class="wipe-sides">
        <span class={sideClass('before', at)}>{say('saleWithout')}</span>
        <span class={sideClass('after', 100 - at)}>{say('saleWith')}</span>
      </div>
      <div
        ref={frame}
        class="wipe-frame"
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          follow(event);
        }}
        onPointerMove={(event) => {
          if (event.currentTarget.hasPointerCapture(event.pointerId)) follow(event);
        }}
      >
        <Picture shots={without} />
        <div class="wipe-after" style={{ clipPath: `inset(0 0 0 ${at}%)` }}>
          <Picture shots={after} />
        </div>
        <div class="wipe-line" style={{ left: `${at}%` }} aria-hidden="true" />
      </div>
      <input
        type="range"
        min={0}
        max={100}
        step={5}
        value={at}
        aria-label={say('saleWipe', { level: name })}
        aria-valuetext={say('saleWipeAt', { without: at, with: 100 - at })}
        onInput={({ currentTarget }) => put(Number(currentTarget.value))}
      />
      <p class="quiet">{say('saleWipeHow')}</p>
      <figcaption class="wipe-captions">
        <span>{without[0].caption}</span>
        <span>{after[0].caption}</span>
      </figcaption>
    </figure>
  );
}

/** The pictures of a level: both under the line where repeaters change anything, else the plan. */
export function LevelPictures({ of }: { of: OfferLevel }) {
  const { name, without, with: after } = of;
  return (
    <>
      {without && after ? (
        <Wipe name={name} without={without} after={after} />
      ) : (
        <figure class="wipe">
          <Picture shots={of.plan} />
        </figure>
      )}
      <div class="sale-key">
        <Picture shots={of.key} />
      </div>
    </>
  );
}
