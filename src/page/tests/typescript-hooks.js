import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { transformWithOxc } from 'vite';

/** Strips the types of a module; styles are nothing to a test. */
export async function load(url, context, next) {
  if (url.endsWith('.css')) return { format: 'module', source: '', shortCircuit: true };
  if (!/\.tsx?$/.test(url)) return next(url, context);
  const file = fileURLToPath(url);
  const text = await readFile(file, 'utf8');
  const jsx = { runtime: 'automatic', importSource: 'preact' };
  const { code } = await transformWithOxc(text, file, { jsx });
  return { format: 'module', source: code, shortCircuit: true };
}
