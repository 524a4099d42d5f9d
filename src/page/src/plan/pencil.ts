// What is drawn but not yet of the plan, and the level below, faintly.

import OlFeature from 'ol/Feature.js';
import LineString from 'ol/geom/LineString.js';
import Polygon from 'ol/geom/Polygon.js';
import Fill from 'ol/style/Fill.js';
import Stroke from 'ol/style/Stroke.js';
import Style from 'ol/style/Style.js';
import type { Stroke as Line } from '../draw/tool.ts';
import type { Feature, Point } from '../live/protocol.ts';
import { linesOf } from './places.ts';
import { bodiesOf, outline } from './walls.ts';

const MAIN = '11, 79, 108';
const ACCENT = 'rgb(158, 38, 16)';

const drawn = (geometry: LineString | Polygon, ...styles: Style[]): OlFeature => {
  const feature = new OlFeature(geometry) as OlFeature;
  feature.setStyle(styles);
  return feature;
};

const closed = (line: Point[]): Point[][] => [[...line, line[0] as Point]];

/** The body that a line of a thickness would have, piece by piece. */
function bodies(line: Point[], thick: number): Polygon[] {
  const [first] = line;
  if (!first) return [];
  const like = { id: '', kind: 'wall', level: 0, properties: {}, thickness_m: thick };
  const wall: Feature = { ...like, geometry: { type: 'LineString', coordinates: line } };
  return bodiesOf([wall]).map((body) => new Polygon(closed(outline(body))));
}

function featuresOf({ line, look, thick, ring }: Line): OlFeature[] {
  if (line.length < 2) return [];
  if (look === 'guide') {
    const stroke = new Stroke({ color: ACCENT, width: 1.5, lineDash: [5, 5] });
    const rim = new Stroke({ color: 'rgba(255, 255, 255, 0.7)', width: 3.5 });
    const geometry = ring && line.length > 2 ? new Polygon(closed(line)) : new LineString(line);
    return [drawn(geometry, new Style({ stroke: rim }), new Style({ stroke }))];
  }
  if (look === 'pencil') {
    const stroke = new Stroke({ color: 'rgb(84, 86, 94)', width: 2.5, lineDash: [7, 5] });
    const rim = new Stroke({ color: 'rgba(255, 255, 255, 0.8)', width: 5 });
    return [drawn(new LineString(line), new Style({ stroke: rim }), new Style({ stroke }))];
  }
  const colour = look === 'set' ? `rgba(${MAIN}, 0.75)` : `rgba(${MAIN}, 0.4)`;
  const fill = new Fill({ color: colour });
  const rim = new Stroke({ color: '#fff', width: 1 });
  const middle = new Stroke({
    color: `rgb(${MAIN})`,
    width: 2,
    ...(look === 'next' ? { lineDash: [8, 4] } : {}),
  });
  const solid =
    thick === undefined ? [] : bodies(line, thick).map((one) => drawn(one, new Style({ fill })));
  const pale = new Fill({ color: `rgba(${MAIN}, 0.18)` });
  const edge = ring
    ? drawn(new Polygon(closed(line)), new Style({ fill: pale, stroke: middle }))
    : drawn(
        new LineString(line),
        new Style({ stroke: new Stroke({ color: '#fff', width: 4 }) }),
        new Style({ stroke: thick === undefined ? middle : rim }),
        new Style({ stroke: middle }),
      );
  return [...solid, edge];
}

export const pencilled = (lines: Line[]): OlFeature[] => lines.flatMap(featuresOf);

/** Walls of the level below, faintly, so that the next is drawn over them. */
export function shadow(features: Feature[], below: number | null): OlFeature[] {
  const walls = features.filter(({ kind, level }) => kind === 'wall' && level === below);
  const style = new Style({
    fill: new Fill({ color: 'rgba(74, 76, 84, 0.16)' }),
    stroke: new Stroke({ color: 'rgba(74, 76, 84, 0.55)', width: 1, lineDash: [2, 4] }),
  });
  const lines = walls.flatMap((wall) => linesOf(wall).filter((line) => line.length > 1));
  return lines.length === 0
    ? []
    : bodiesOf(walls).map((body) => drawn(new Polygon(closed(outline(body))), style));
}
