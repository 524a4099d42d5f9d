// The sale at the table: what is protected, how well it is heard, and what it costs; nothing that
// only an installer knows.

import { taken, takeRefused } from '../live/state.ts';
import { Dialog } from '../parts/dialog.tsx';
import { Sign } from '../parts/sign.tsx';
import { Outcome } from '../parts/take_away.tsx';
import { say } from '../words/words.ts';
import { askOffer, askQuote, type Notice, type Offer, offer, papers } from './offer.ts';
import { LevelPictures } from './wipe.tsx';

function Lines({ of, strong }: { of: Notice; strong?: boolean }) {
  return (
    <section class={strong ? 'sale-notice strong' : 'sale-notice'}>
      <h3>{of.title}</h3>
      <ul>
        {of.lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

function Devices({ of }: { of: Offer['devices'] }) {
  return (
    <section>
      <h3>{say('saleDevices')}</h3>
      <ul class="plain sale-rooms">
        {of.map(({ place, devices }) => (
          <li key={place}>
            <h4>{place}</h4>
            <ul class="plain">
              {devices.map(({ name, what, signal, without }, at) => (
                <li key={`${at} ${name}`} class="sale-device">
                  {signal ? <Sign finding={signal.finding} /> : <span />}
                  <span>
                    <strong>{name}</strong>, {what}
                    {signal && <span class="sale-signal">{signal.words}</span>}
                    {signal && without && without.finding !== signal.finding && (
                      <span class="sale-signal">{say('saleWas', { words: without.words })}</span>
                    )}
                  </span>
                </li>
              ))}
            </ul>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Where the fob in the hand and the pendant round the neck work. */
function Areas({ of }: { of: NonNullable<Offer['roams']> }) {
  return (
    <section class="sale-areas">
      <h3>{of.title}</h3>
      <ul class="plain sale-where">
        {of.areas.map(({ name, works, without }) => (
          <li key={name}>
            <strong>{name}</strong>
            <span class="sale-signal">{say('saleWorks', { share: works })}</span>
            {without && <span class="sale-signal">{say('saleWas', { words: without })}</span>}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Price({ of }: { of: NonNullable<Offer['price']> }) {
  return (
    <section class="sale-price">
      <p class="sale-total">{of.total}</p>
      <details>
        <summary>{say('saleLines')}</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">{say('saleItem')}</th>
              <th scope="col">{say('saleQuantity')}</th>
              <th scope="col">{say('saleAmount')}</th>
            </tr>
          </thead>
          <tbody>
            {of.lines.map(({ name, quantity, amount }) => (
              <tr key={name}>
                <td>{name}</td>
                <td>{quantity}</td>
                <td>{amount}</td>
              </tr>
            ))}
          </tbody>
          <tfoot>
            {of.sums.map(({ name, amount }) => (
              <tr key={name}>
                <th scope="row" colSpan={2}>
                  {name}
                </th>
                <td>{amount}</td>
              </tr>
            ))}
          </tfoot>
        </table>
      </details>
    </section>
  );
}

/** Files of the business, for the installer. */
function Papers() {
  const field = (name: 'business' | 'prices', ending: string) => (
    <label class="field">
      {say(name === 'business' ? 'saleBusiness' : 'salePrices')}
      <input
        value={papers.value[name]}
        autocomplete="off"
        autocapitalize="off"
        pattern={`[^.\\/\\\\][^\\/\\\\]*\\.${ending}`}
        onInput={({ currentTarget }) => {
          papers.value = { ...papers.value, [name]: currentTarget.value };
        }}
      />
    </label>
  );
  return (
    <details class="sale-papers">
      <summary>{say('salePapers')}</summary>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          askOffer();
        }}
      >
        <p>{say('salePapersAre')}</p>
        {field('business', 'toml')}
        {field('prices', 'csv')}
        <button type="submit">{say('saleUse')}</button>
      </form>
    </details>
  );
}

function Shown({ of }: { of: Offer }) {
  const several = of.levels.length > 1;
  return (
    <div lang={of.language} class="sale-offer">
      {of.business && <p class="sale-business">{of.business}</p>}
      <h3 class="sale-site">{of.site}</h3>
      {of.draft && <Lines of={of.draft} strong />}
      {of.protects && <p>{of.protects}</p>}
      <p class="sale-argument">{of.argument}</p>
      {of.left && <Lines of={of.left} strong />}
      {of.levels.map((level) => (
        <section key={level.number} class="sale-level">
          {several && <h3>{level.name}</h3>}
          {several && level.why && <p>{level.why}</p>}
          <LevelPictures of={level} in={of} />
        </section>
      ))}
      {of.price && <Price of={of.price} />}
      <Devices of={of.devices} />
      {of.roams && <Areas of={of.roams} />}
      <Lines of={of.assumed} />
      <Lines of={of.cautions} />
    </div>
  );
}

function View() {
  const { value } = offer;
  const isBusy = taken.value?.type === 'asked';
  if (takeRefused.value) {
    return (
      <>
        <Outcome />
        <Papers />
      </>
    );
  }
  if (value === 'unread') return <p role="alert">{say('saleUnread')}</p>;
  if (value === null || value === 'asked') {
    return (
      <div role="status">
        <p>{say('saleWorking')}</p>
        <progress aria-label={say('saleWorking')} />
      </div>
    );
  }
  return (
    <>
      <Shown of={value} />
      <div class="row sale-end">
        <button type="button" class="main" disabled={isBusy} onClick={askQuote}>
          {say('saleQuote')}
        </button>
        {document.fullscreenEnabled && (
          <button
            type="button"
            onClick={({ currentTarget }) => {
              const view = currentTarget.closest('dialog');
              // A browser that refuses shows it in its window.
              if (document.fullscreenElement) document.exitFullscreen().catch(() => undefined);
              else view?.requestFullscreen().catch(() => undefined);
            }}
          >
            {say('saleFull')}
          </button>
        )}
      </div>
      <Outcome />
      {value.incomplete && <Papers />}
    </>
  );
}

export function Sale() {
  return (
    <Dialog opener="saleOpen" title="saleTitle" look="sale" opened={askOffer}>
      {() => <View />}
    </Dialog>
  );
}
