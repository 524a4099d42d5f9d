// One plan twice under a line that is drawn across it: without on its left, with on its right.

import { useRef, useState } from 'preact/hooks';
import { say } from '../words/words.ts';
import {
  before,
  heardNow,
  type Offer,
  type OfferLevel,
  pairOf,
  type Shots,
  shareAt,
} from './offer.ts';

/** A side of which less is seen than this has no name, per cent. */
const LEAST = 8;
const sideClass = (side: 'before' | 'after', seen: number): string =>
  `wipe-side ${side}${seen < LEAST ? ' gone' : ''}`;

function Picture({ shots: [narrow, wide] }: { shots: Shots }) {
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
        alt={narrow.alt}
        draggable={false}
      />
    </picture>
  );
}

/** What stands on either side of the line. */
interface Sides {
  name: string;
  shots: [Shots, Shots];
  words: [string, string];
  captions: [string, string];
}

function Wipe({ name, shots: [without, after], words, captions }: Sides) {
  const frame = useRef<HTMLDivElement>(null);
  const [at, put] = useState(50);
  const follow = ({ clientX }: PointerEvent) => {
    const box = frame.current?.getBoundingClientRect();
    if (box) put(shareAt(clientX, box));
  };
  return (
    <figure class="wipe">
      <div class="wipe-sides">
        <span class={sideClass('before', at)}>{words[0]}</span>
        <span class={sideClass('after', 100 - at)}>{words[1]}</span>
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
        aria-label={say('saleWipe', { level: name, one: words[0], other: words[1] })}
        aria-valuetext={say('saleWipeAt', {
          one: words[0],
          other: words[1],
          left: at,
          right: 100 - at,
        })}
        onInput={({ currentTarget }) => put(Number(currentTarget.value))}
      />
      <p class="quiet">{say('saleWipeHow')}</p>
      <figcaption class="wipe-captions">
        <span>{captions[0]}</span>
        <span>{captions[1]}</span>
      </figcaption>
    </figure>
  );
}

/** The pictures of a level: both under the line where what is offered changes anything, else the
 * plan. */
export function LevelPictures({ of, in: whole }: { of: OfferLevel; in: Offer }) {
  const shots = pairOf(of, before.value);
  const old = before.value;
  return (
    <>
      {shots ? (
        <Wipe
          name={of.name}
          shots={shots}
          words={
            old ? [say('salePlaceNow'), say('salePlaceNew')] : [say('saleWithout'), say('saleWith')]
          }
          captions={
            old
              ? [
                  say('saleHeard', { count: old.heard }),
                  say('saleHeard', { count: heardNow(whole) }),
                ]
              : [shots[0][0].caption, shots[1][0].caption]
          }
        />
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
