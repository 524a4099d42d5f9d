// Pointer, pen and fingers on the plan, for a tool that wants them.

import PointerInteraction from 'ol/interaction/Pointer.js';
import type MapBrowserEvent from 'ol/MapBrowserEvent.js';
import type { Point } from '../live/protocol.ts';
import { Edge, onwards } from './edge.ts';

/** Where a pointer is on the plan, and what is held down with it. */
export interface Finger {
  at: Point;
  /** Alt: to be drawn to nothing. */
  free: boolean;
  /** Shift: one more. */
  more: boolean;
}

/** Who follows the pointers. */
export interface Follower {
  /** Whether a finger that is pressed moves the cross and not the plan. */
  takesFingers(): boolean;
  hover(finger: Finger): void;
  /** A mouse is pressed: true if something is taken hold of, and the plan stays. */
  grab(finger: Finger): boolean;
  drag(finger: Finger): void;
  release(finger: Finger): void;
  /** A mouse was pressed and let go in one place. */
  click(finger: Finger): void;
  /** A second finger came: nothing is set. */
  cancel(): void;
}

/** How far above the finger the cross stands, pixels. */
const LIFT = 60;

type Event = MapBrowserEvent<PointerEvent>;

export class Fingers extends PointerInteraction {
  follower: Follower | null = null;
  private lift = 0;
  private readonly edge = new Edge();

  override handleEvent(event: Event): boolean {
    const { follower } = this;
    if (!follower) return true;
    const kind = event.type as string;
    if (kind === 'click' && event.originalEvent.pointerType === 'mouse') {
      follower.click(this.finger(event, 0));
    }
    // A double click is two clicks here.
    if (kind === 'dblclick') return false;
    const isSecond = kind === 'pointerdown' && (event.activePointers?.length ?? 0) > 1;
    if (this.handlingDownUpSequence && isSecond) {
      this.handlingDownUpSequence = false;
      this.edge.end();
      follower.cancel();
    }
    return super.handleEvent(event);
  }

  override handleDownEvent(event: Event): boolean {
    const { follower } = this;
    const { pointerType, button } = event.originalEvent;
    if (!follower || button !== 0 || (event.activePointers?.length ?? 0) > 1) return false;
    this.lift = pointerType === 'touch' ? LIFT : 0;
    if (pointerType === 'mouse') return follower.grab(this.finger(event, 0));
    if (!follower.takesFingers()) return false;
    follower.drag(this.finger(event, this.lift));
    return true;
  }

  override handleDragEvent(event: Event): void {
    this.follower?.drag(this.finger(event, this.lift));
    const { map, pixel } = event;
    const size = map.getSize();
    if (this.lift === 0 || !size) return;
    this.edge.at(onwards(pixel as Point, size as Point, this.lift), ([right, down]) => {
      const view = map.getView();
      const [x = 0, y = 0] = view.getCenter() ?? [];
      const metres = view.getResolution() ?? 0;
      view.setCenter([x + right * metres, y - down * metres]);
      this.follower?.drag(this.finger(event, this.lift));
    });
  }

  override handleUpEvent(event: Event): boolean {
    this.edge.end();
    const finger = this.finger(event, this.lift);
    if (event.originalEvent.type === 'pointercancel') this.follower?.cancel();
    else this.follower?.release(finger);
    return false;
  }

  override handleMoveEvent(event: Event): void {
    if (event.originalEvent.pointerType !== 'touch') this.follower?.hover(this.finger(event, 0));
  }

  private finger(event: Event, lift: number): Finger {
    const [x = 0, y = 0] = event.pixel;
    const at = event.map.getCoordinateFromPixel([x, y - lift]) as Point;
    const { altKey, shiftKey } = event.originalEvent;
    return { at, free: altKey, more: shiftKey };
  }
}
