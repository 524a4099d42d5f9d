import 'ol/ol.css';
import './style/base.css';
import './style/head.css';
import './style/plan.css';
import './style/lists.css';
import './style/dialogs.css';
import './style/tools.css';
import './style/things.css';
import './backdrop/picture.css';
import './style/guest.css';
import './style/walk.css';
import './style/sale.css';
import { effect } from '@preact/signals';
import { render } from 'preact';
import { connect, plan } from './live/state.ts';
import { Page } from './parts/page.tsx';
import { language, preferred, say } from './words/words.ts';

language.value = preferred(navigator.languages);
effect(() => {
  document.documentElement.lang = language.value;
  document.title = plan.value ? say('title', { plan: plan.value.name }) : 'drillonce';
});

const root = document.getElementById('page');
if (root) render(<Page />, root);
connect(location);
