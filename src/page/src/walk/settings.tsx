// Where the walk begins, where its readings are kept, and what the panel's bars mean.

import { useRef } from 'preact/hooks';
import { say } from '../words/words.ts';
import { begin, setScales, walk } from './state.ts';

export function Settings() {
  const { value } = walk;
  const file = useRef<HTMLInputElement>(null);
  const bars = useRef<HTMLInputElement>(null);
  const percent = useRef<HTMLInputElement>(null);
  if (!value) return null;
  const change = (event: Event) => {
    event.preventDefault();
    const name = file.current?.value.trim() ?? '';
    if (name && name !== value.file) begin({ file: name });
  };
  const declare = (event: Event) => {
    event.preventDefault();
    const text = (field: HTMLInputElement | null) => field?.value.trim() || null;
    if (text(bars.current) ?? text(percent.current)) {
      setScales(text(bars.current), text(percent.current));
    }
  };
  return (
    <div class="fields">
      <label class="field">
        {say('walkFrom')}
        <select
          value={value.from ?? ''}
          onChange={({ currentTarget }) => begin({ from: currentTarget.value || null })}
        >
          <option value="">{say('walkFromPanel')}</option>
          {value.entries?.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <form onSubmit={change}>
        <label>
          {say('walkFile')}
          <input ref={file} value={value.file} required autocomplete="off" />
        </label>
        <button type="submit">{say('walkOpen')}</button>
      </form>
      <form onSubmit={declare}>
        <label>
          {say('walkBarScale')}
          <input
            ref={bars}
            autocomplete="off"
            placeholder="-105, -95, -85, -75"
            value={value.scales?.bars?.join(', ') ?? ''}
          />
        </label>
        <label>
          {say('walkPercentScale')}
          <input
            ref={percent}
            autocomplete="off"
            placeholder="-110 to -50"
            value={value.scales?.percent?.join(' to ') ?? ''}
          />
        </label>
        <button type="submit">{say('walkDeclare')}</button>
      </form>
    </div>
  );
}
