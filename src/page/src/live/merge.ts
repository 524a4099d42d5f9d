// A plan with faults says less than one without: what was known before is kept.

import { placeOf } from '../plan/places.ts';
import type { Fault, Feature, PlanMessage, Point } from './protocol.ts';

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
