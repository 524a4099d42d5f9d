// The sheet of one thing: what the plan's format can say of it, each field one step of undo.

import { useId } from 'preact/hooks';
import type { Change, Feature, PlanMessage, Properties } from '../live/protocol.ts';
import { isSheetOpen } from '../live/selection.ts';
import { edit, measure, palette, plan } from '../live/state.ts';
import { withHanging } from '../things/group.ts';
import {
  LIFE_SAFETY,
  type Member,
  membersOf,
  metresOf,
  typed,
  withLevel,
  withRole,
  writtenOf,
} from '../things/members.ts';
import { useOf } from '../things/usual.ts';
import { type Key, say, sayLength, sayWord } from '../words/words.ts';
import { Constructions } from './constructions.tsx';
import { Typed } from './typed.tsx';

const LABELS: Record<string, Key> = {
  name: 'name',
  number: 'number',
  device: 'device',
  role: 'role',
  supervised: 'supervised',
  mount: 'mountedAs',
  aerial: 'aerial',
  height: 'heightAbove',
  level: 'level',
  room: 'roomOf',
  serial: 'serial',
  capacity: 'capacity',
  construction: 'construction',
  thickness_mm: 'thickness',
  base: 'foot',
  top: 'head',
  state: 'state',
  entry: 'entry',
  joint: 'joint',
  worn: 'worn',
  to: 'stairsTo',
};

interface Row<Sort extends Member['sort'] = Member['sort']> {
  feature: Feature;
  member: Extract<Member, { sort: Sort }>;
  now: PlanMessage;
}

const labelOf = ({ member, feature }: { member: Member; feature: Feature }): string => {
  if (member.name === 'base' && feature.kind === 'opening') return say('sill');
  if (member.name === 'level' && feature.kind === 'stairs') return say('stairsFrom');
  return say(LABELS[member.name] ?? 'name');
};

/** Sets properties, unless they are so already. */
export function setProperties(feature: Feature, properties: Properties): void {
  const changed = Object.entries(properties).filter(
    ([name, value]) => (feature.properties[name] ?? null) !== value,
  );
  if (changed.length === 0) return;
  edit([{ do: 'set', id: feature.id, properties: Object.fromEntries(changed) }]);
}

function TextRow(row: Row<'text'>) {
  const { feature, member } = row;
  const value = feature.properties[member.name];
  return (
    <Typed
      label={labelOf(row)}
      shown={typeof value === 'string' ? value : ''}
      wide
      {...(member.name === 'name' ? { own: feature.id } : {})}
      onSet={(text) => {
        setProperties(feature, { [member.name]: text || null });
        return null;
      }}
    />
  );
}

function WholeRow(row: Row<'whole'>) {
  const { feature, member, now } = row;
  const value = feature.properties[member.name];
  const set = (text: string) => {
    if (!text) {
      setProperties(feature, { [member.name]: null });
      return null;
    }
    const number = Number(text);
    if (!/^\d+$/.test(text) || number < member.least || number > member.most) {
      return say('notWhole', { least: member.least, most: member.most });
    }
    const other = now.features.find(
      ({ id, properties }) => id !== feature.id && properties.number === number,
    );
    if (member.name === 'number' && other) return say('numberTaken', { number, id: other.id });
    setProperties(feature, { [member.name]: number });
    return null;
  };
  return (
    <Typed
      label={labelOf(row)}
      shown={typeof value === 'number' ? String(value) : ''}
      onSet={set}
    />
  );
}

/** The length that counts where none is given, metres; of an opening it is its wall's. */
function usualOf(feature: Feature, member: Member, { levels }: PlanMessage): number | undefined {
  if (member.sort === 'thickness') return feature.thickness_m;
  if (member.sort !== 'length') return undefined;
  if (member.from === 'floor' || feature.kind === 'opening') return member.usual;
  const of = levels.find(({ number }) => number === feature.level);
  return member.name === 'base' ? 0 : of && of.ceiling_m - of.floor_m;
}

function LengthRow(row: Row<'length' | 'thickness'>) {
  const { feature, member, now } = row;
  const metres = metresOf(feature, member, now);
  const usual = usualOf(feature, member, now);
  const set = async (text: string) => {
    if (!text) {
      setProperties(feature, { [member.name]: null });
      return null;
    }
    const answer = await measure([text.slice(0, 40)]);
    const read = answer?.metres[0];
    if (typeof read !== 'number') return answer?.faults[0] ?? say('notMeasured');
    if (metres !== null && Math.abs(read - metres) < 1e-6) return null;
    setProperties(feature, { [member.name]: writtenOf(read, member, feature, now) });
    return null;
  };
  return (
    <Typed
      label={say('inUnit', { what: labelOf(row), unit: now.units })}
      shown={metres === null ? '' : typed(metres, now.units)}
      hint={usual === undefined ? '' : typed(usual, now.units)}
      onSet={set}
    />
  );
}

/** A choice of some words, or none where the format has no usual one. */
function Choice({
  label,
  value,
  options,
  isWide = false,
  onChoose,
}: {
  label: string;
  value: string;
  options: { value: string; words: string }[];
  isWide?: boolean;
  onChoose: (value: string) => void;
}) {
  const id = useId();
  return (
    <div class={isWide ? 'field full' : 'field'}>
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={({ currentTarget }) => onChoose(currentTarget.value)}>
        {options.map((one) => (
          <option key={one.value} value={one.value}>
            {one.words}
          </option>
        ))}
      </select>
    </div>
  );
}

/** The words that a member may have: the program's, where it says them, else those known here. */
function wordsOf({ name, words }: Extract<Member, { sort: 'word' }>): string[] {
  const said = name === 'mount' ? palette.value?.mounts : undefined;
  return (name === 'role' ? palette.value?.roles : said)?.map((one) => one.name) ?? [...words];
}

function WordRow(row: Row<'word'>) {
  const { feature, member } = row;
  const given = feature.properties[member.name];
  const value = typeof given === 'string' ? given : (member.usual ?? '');
  const known = wordsOf(member);
  const all = value && !known.includes(value) ? [value, ...known] : known;
  const options = all.map((word) => ({ value: word, words: sayWord(member.name, word) }));
  const none = { value: '', words: say('notSaid') };
  const choose = (word: string) => {
    const chosen = word === '' || word === member.usual ? null : word;
    setProperties(feature, {
      ...(member.name === 'role' ? withRole(chosen, feature) : { [member.name]: chosen }),
    });
  };
  return (
    <Choice
      label={labelOf(row)}
      value={value}
      options={member.usual ? options : [none, ...options]}
      isWide={member.name === 'role'}
      onChoose={choose}
    />
  );
}

function FlagRow(row: Row<'flag'>) {
  const { feature, member } = row;
  const { role } = feature.properties;
  if (member.name === 'supervised' && LIFE_SAFETY.has(role)) {
    return <p class="quiet">{say('alwaysSupervised')}</p>;
  }
  const value = feature.properties[member.name];
  const is = typeof value === 'boolean' ? value : member.usual;
  return (
    <label class="flag">
      <input
        type="checkbox"
        checked={is}
        onChange={({ currentTarget }) =>
          setProperties(feature, {
            [member.name]: currentTarget.checked === member.usual ? null : currentTarget.checked,
          })
        }
      />
      {labelOf(row)}
    </label>
  );
}

/** Puts a thing on another level, and with a wall the openings on it. */
function toLevel(feature: Feature, level: number, now: PlanMessage): void {
  const all = withHanging(new Set([feature.id]), now.features);
  const these = all.filter(({ id, kind }) => id === feature.id || kind === 'opening');
  const set = (one: Feature): Change => ({
    do: 'set',
    id: one.id,
    properties: withLevel(level, one, now),
  });
  if (level !== feature.level) edit(these.map(set));
}

function LevelRow(row: Row<'level'>) {
  const { feature, member, now } = row;
  if (now.levels.length < 2) return null;
  const isOwn = member.name === 'level';
  const given = feature.properties[member.name];
  const value = isOwn ? feature.level : typeof given === 'number' ? given : '';
  const options = now.levels.map(({ number, name }) => ({
    value: String(number),
    words: say('levelName', { name, number }),
  }));
  return (
    <Choice
      label={labelOf(row)}
      value={String(value)}
      options={isOwn ? options : [{ value: '', words: say('nextAbove') }, ...options]}
      onChoose={(number) => {
        if (isOwn) toLevel(feature, Number(number), now);
        else setProperties(feature, { [member.name]: number === '' ? null : Number(number) });
      }}
    />
  );
}

function ConstructionRow({ feature }: Row<'construction'>) {
  const { construction } = feature.properties;
  return (
    <div class="field">
      <Constructions
        for={useOf(feature)}
        value={typeof construction === 'string' ? construction : ''}
        onChoose={(name: string) => setProperties(feature, { construction: name })}
      />
    </div>
  );
}

function MemberRow({ feature, member, now }: Row) {
  switch (member.sort) {
    case 'text':
      return <TextRow {...{ feature, member, now }} />;
    case 'whole':
      return <WholeRow {...{ feature, member, now }} />;
    case 'length':
    case 'thickness':
      return <LengthRow {...{ feature, member, now }} />;
    case 'word':
      return <WordRow {...{ feature, member, now }} />;
    case 'flag':
      return <FlagRow {...{ feature, member, now }} />;
    case 'construction':
      return <ConstructionRow {...{ feature, member, now }} />;
    case 'level':
      return <LevelRow {...{ feature, member, now }} />;
  }
}

/** What is wrong with the thing, beside it. */
function OwnFaults({ id }: { id: string }) {
  const faults = (plan.value?.faults ?? []).filter((fault) => fault.feature === id);
  return (
    <>
      {faults.map(({ number, what, fix }) => (
        <p class="fault" lang="en" key={number}>
          <span class="ring" aria-hidden="true">
            {number}
          </span>{' '}
          {what}. {say('faultFix', { fix })}
        </p>
      ))}
    </>
  );
}

export function Sheet({ feature, isOpen }: { feature: Feature; isOpen: boolean }) {
  const { value: now } = plan;
  const members = membersOf(feature);
  if (!now || members.length === 0) return null;
  return (
    <>
      <OwnFaults id={feature.id} />
      <details
        class="sheet"
        open={isOpen || isSheetOpen.value}
        onToggle={({ currentTarget }) => {
          if (!isOpen) isSheetOpen.value = currentTarget.open;
        }}
      >
        <summary>{say('properties')}</summary>
        <div class="fields">
          {members.map((member) => (
            <MemberRow
              key={`${feature.id} ${member.name}`}
              feature={feature}
              member={member}
              now={now}
            />
          ))}
        </div>
        {typeof feature.thickness_m === 'number' && feature.kind === 'opening' && (
          <p class="quiet">{say('inWall', { thick: sayLength(feature.thickness_m) })}</p>
        )}
      </details>
    </>
  );
}
