// A plan with faults says less than one without: what was known before is kept.

import { placeOf } from '../plan/places.ts';
import type { Change, Fault, Feature, Geometry, PlanMessage, Point } from './protocol.ts';

/** The plan, with levels, thicknesses and classes of the one before where it has none itself. */
export function withKnown(plan: PlanMessage, before: PlanMessage | null): PlanMessage {
  const old = new Map(before?.features.map((feature) => [feature.id, feature]));
  const isWhole = plan.faults.length === 0;
  const features = isWhole
    ? plan.features
    : plan.features.map((one) => known(one, old.get(one.id)));
  const levels = plan.levels.length > 0 ? plan.levels : (before?.levels ?? []);
  const faults = plan.faults.map((fault) => placed(fault, features));
  return { ...plan, features, levels, faults };
}

function known(feature: Feature, old: Feature | undefined): Feature {
  const { thickness_m, class: kind } = old ?? {};
  return {
    ...(thickness_m === undefined ? {} : { thickness_m }),
    ...(kind === undefined ? {} : { class: kind }),
    ...feature,
  };
}

/** A fault without a place of its own is where its feature is. */
function placed(fault: Fault, features: Feature[]): Fault {
  const feature = features.find(({ id }) => id === fault.feature);
  const at: Point | null = fault.at ?? (feature ? placeOf(feature) : null);
  const level = fault.level ?? feature?.level;
  return { ...fault, ...(at ? { at } : {}), ...(level === undefined ? {} : { level }) };
}

/** Features as they are once changes are made, as far as a page shows them at once. */
export function applied(features: Feature[], changes: Change[]): Feature[] {
  return changes.reduce((now, change) => {
    if (change.do === 'add' || change.do === 'ground') return now;
    if (change.do === 'remove') {
      const isBack = changes.some(
        ({ do: what, ...one }) => what === 'add' && idOf(one) === change.id,
      );
      return isBack ? now : now.filter(({ id }) => id !== change.id);
    }
    return now.map((feature) => (feature.id === change.id ? changed(feature, change) : feature));
  }, features);
}

const idOf = (added: object): unknown => (added as { feature?: { id?: unknown } }).feature?.id;

function changed(feature: Feature, change: Change): Feature {
  switch (change.do) {
    case 'move': {
      const geometry: Geometry = { type: 'Point', coordinates: [...change.to] };
      return { ...feature, geometry, level: change.level ?? feature.level };
    }
    case 'shape':
      return { ...feature, geometry: shaped(feature.geometry, change.coordinates) };
    case 'set': {
      const properties = { ...feature.properties, ...change.properties };
      const kept = Object.entries(properties).filter(([, value]) => value !== null);
      const level = typeof properties.level === 'number' ? properties.level : feature.level;
      return { ...feature, properties: Object.fromEntries(kept), level };
    }
    default:
      return feature;
  }
}

/** A line or an outer ring with other corners. */
function shaped(old: Geometry | null, corners: Point[]): Geometry | null {
  if (old?.type === 'LineString') return { type: 'LineString', coordinates: corners };
  if (old?.type !== 'Polygon') return old;
  const [first, last] = [corners[0], corners[corners.length - 1]];
  const isClosed = first && last && first[0] === last[0] && first[1] === last[1];
  const ring = isClosed || !first ? corners : [...corners, first];
  return { type: 'Polygon', coordinates: [ring, ...old.coordinates.slice(1)] };
}
