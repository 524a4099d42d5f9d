// The fake server by itself, to look at the page: `npm run fake`.

import { FakeServer } from './server.ts';

console.log(await new FakeServer().start(Number(process.env.PORT ?? 0)));
