// The page: what was found on top, the plan, and beside it the devices and what was asked.

import { isReading } from '../guest/here.ts';
import { OneHand } from '../guest/one_hand.tsx';
import { startable } from '../live/state.ts';
import { Walk } from '../walk/walk.tsx';
import { say } from '../words/words.ts';
import { Spoken, Trouble } from './aloud.tsx';
import { Details } from './details.tsx';
import { DeviceList } from './device_list.tsx';
import { Faults, Notes, Tidied } from './faults.tsx';
import { Selected } from './groups.tsx';
import { Head } from './head.tsx';
import { Languages } from './languages.tsx';
import { Notice } from './notice.tsx';
import { PlanPart } from './plan_part.tsx';
import { RepeaterList, SpotList } from './spot_list.tsx';
import { FirstSteps, Start } from './start.tsx';
import { ThingList } from './thing_list.tsx';
import { InUse } from './tool_bar.tsx';

export function Page() {
  return (
    <>
      <Head />
      <Trouble />
      {startable.value && !isReading.value ? (
        <main class="only">
          <Start />
        </main>
      ) : (
        <main>
          <PlanPart />
          <div class="beside">
            <InUse />
            <FirstSteps />
            <Tidied />
            <Faults />
            <Details />
            <Selected />
            <SpotList />
            <RepeaterList />
            <DeviceList />
            <ThingList />
            <Notes />
          </div>
        </main>
      )}
      <footer>
        <p class="caution">{say('caution')}</p>
        <Languages />
        <p>
          <a href="licences.md" target="_blank" rel="noreferrer">
            {say('licences')}
          </a>
        </p>
      </footer>
      <Walk />
      <OneHand />
      <Notice />
      <Spoken />
    </>
  );
}
