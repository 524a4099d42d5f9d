// Lets Node read TypeScript and JSX: `node --import ./tests/typescript.js`.
import { register } from 'node:module';

register('./typescript-hooks.js', import.meta.url);
