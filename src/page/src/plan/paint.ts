// How walls, openings and areas are drawn: the signs of the pictures, thickness to scale.

import type { Coordinate } from 'ol/coordinate.js';
import OlFeature from 'ol/Feature.js';
import LineString from 'ol/geom/LineString.js';
import OlPoint from 'ol/geom/Point.js';
import Polygon from 'ol/geom/Polygon.js';
import CircleStyle from 'ol/style/Circle.js';
import Fill from 'ol/style/Fill.js';
import Stroke from 'ol/style/Stroke.js';
import Style from 'ol/style/Style.js';
import Text from 'ol/style/Text.js';
import type { Feature, Point } from '../live/protocol.ts';
import { linesOf, middleOf } from './places.ts';
import type { Body } from './walls.ts';
import { axes, bodiesOf, gapOf, outline } from './walls.ts';

export const INK = 'rgb(22, 22, 26)';
export const PAPER = '#fff';
const QUIET = 'rgb(74, 76, 84)';
const MASONRY = 'rgb(62, 58, 60)';

/** Classes in the order in which they are drawn: where two meet, the heavier is on top. */
const ORDER = ['light', 'door', 'timber', 'glass', 'coated-glass', 'concrete', 'masonry', 'metal'];
const INSIDE: Record<string, string> = {
  light: 'rgb(206, 206, 202)',
  timber: 'rgb(222, 208, 182)',
  concrete: 'rgb(150, 150, 154)',
  glass: PAPER,
  'coated-glass': PAPER,
  door: PAPER,
};

type Pixels = Coordinate | Coordinate[] | Coordinate[][] | Coordinate[][][];
type Draw = (context: CanvasRenderingContext2D, line: Point[], ratio: number) => void;

const shape = (corners: Point[]) => new Polygon([[...corners, corners[0] as Point]]);

/** A style that draws a line of its own by hand. */
function drawn(line: Point[], zIndex: number, draw: Draw): Style {
  return new Style({
    geometry: new LineString(line),
    zIndex,
    renderer: (pixels: Pixels, { context, pixelRatio }) => {
      context.save();
      draw(context, pixels as Point[], pixelRatio);
      context.restore();
    },
    // Walls are not picked by their drawing.
    hitDetectionRenderer: () => {},
  });
}

function stroke(
  context: CanvasRenderingContext2D,
  line: Point[],
  width: number,
  colour = INK,
  dash: number[] = [],
): void {
  context.beginPath();
  line.forEach(([x, y], at) => {
    if (at === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  });
  context.lineWidth = width;
  context.strokeStyle = colour;
  context.setLineDash(dash);
  context.stroke();
}

/** Marks across a line, `spacing` pixels apart and `reach` to either side. */
function ticks(context: CanvasRenderingContext2D, ends: Point[], spacing: number, reach: number) {
  const [a, b] = ends as [Point, Point];
  const [u, n] = axes({ a, b });
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const count = Math.min(5000, Math.max(1, Math.round(length / spacing)));
  context.beginPath();
  for (let mark = 0; mark < count; mark += 1) {
    const along = ((mark + 0.5) * length) / count;
    const [x, y] = [a[0] + u[0] * along, a[1] + u[1] * along];
    context.moveTo(x - n[0] * reach, y - n[1] * reach);
    context.lineTo(x + n[0] * reach, y + n[1] * reach);
  }
  context.setLineDash([]);
  context.stroke();
}

/** Pixels to a metre of a drawn line. */
function scale(body: Body, [a, b]: Point[]): number {
  const metres = Math.hypot(body.b[0] - body.a[0], body.b[1] - body.a[1]);
  return a && b && metres > 0 ? Math.hypot(b[0] - a[0], b[1] - a[1]) / metres : 0;
}

function wallStyles(body: Body): Style[] {
  const layer = 10 + 3 * Math.max(0, ORDER.indexOf(body.class));
  const inside = INSIDE[body.class];
  return [
    // A pale rim first: the wall stands off from the map.
    new Style({
      geometry: shape(outline(body)),
      zIndex: 9,
      stroke: new Stroke({ color: 'rgba(255, 255, 255, 0.85)', width: 3 }),
    }),
    new Style({
      geometry: shape(outline(body)),
      zIndex: layer,
      fill: new Fill({ color: body.class === 'masonry' ? MASONRY : INK }),
      stroke: new Stroke({ color: body.class === 'masonry' ? MASONRY : INK, width: 1 }),
    }),
    drawn([body.a, body.b], layer + 1, (context, line, ratio) => {
      const thick = body.thick * scale(body, line);
      if (inside) stroke(context, line, Math.max(0.8 * ratio, thick - 1.6 * ratio), inside);
      if (body.class === 'coated-glass') {
        stroke(context, line, 2 * ratio, INK, [8 * ratio, 5 * ratio]);
      } else if (body.class === 'metal') {
        context.lineWidth = 1.6 * ratio;
        context.strokeStyle = INK;
        ticks(context, line, 11 * ratio, thick / 2 + 3 * ratio);
      } else if (body.class === 'timber' && thick > 5 * ratio) {
        context.lineWidth = ratio;
        context.strokeStyle = INK;
        ticks(context, line, 9 * ratio, thick / 2);
      }
    }),
  ];
}

const isOpen = ({ properties }: Feature): boolean => properties.state === 'open';

function openingStyles(feature: Feature, gap: Body, middle: Point): Style[] {
  const [, across] = axes(gap);
  const centre: Point = [(gap.a[0] + gap.b[0]) / 2, (gap.a[1] + gap.b[1]) / 2];
  // Doors are drawn as opening towards the middle of the plan.
  const inward =
    (middle[0] - centre[0]) * across[0] + (middle[1] - centre[1]) * across[1] >= 0 ? 1 : -1;
  const styles = [
    drawn([gap.a, gap.b], 40, (context, line, ratio) => {
      const thick = gap.thick * scale(gap, line);
      stroke(context, line, thick + 2 * ratio, PAPER);
      const [a, b] = line as [Point, Point];
      const [u, n] = axes({ a, b });
      const width = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const glass = gap.class === 'glass' || gap.class === 'coated-glass';
      if (glass) {
        context.lineWidth = 1.2 * ratio;
        context.strokeStyle = INK;
        const half = thick / 2;
        const side = (sign: number) =>
          line.map(([x, y]): Point => [x + n[0] * half * sign, y + n[1] * half * sign]);
        stroke(context, side(1), 1.2 * ratio);
        stroke(context, side(-1), 1.2 * ratio);
        const coated = gap.class === 'coated-glass';
        stroke(context, line, (coated ? 2.4 : 1.2) * ratio, INK, coated ? [6, 3] : []);
      } else if (isOpen(feature)) {
        // Pixels run down, metres up.
        const turn = -inward * width;
        const leaf: Point = [a[0] - n[0] * -turn, a[1] - n[1] * -turn];
        const swing = Array.from({ length: 13 }, (_, step): Point => {
          const angle = (step / 12) * (Math.PI / 2);
          const [c, s] = [width * Math.cos(angle), turn * Math.sin(angle)];
          return [a[0] + u[0] * c + n[0] * s, a[1] + u[1] * c + n[1] * s];
        });
        stroke(context, swing, 1.2 * ratio, QUIET, [3 * ratio, 3 * ratio]);
        stroke(context, [a, leaf], 3 * ratio, INK);
      } else {
        stroke(context, line, 3.2 * ratio, INK);
        context.lineWidth = 1.6 * ratio;
        context.strokeStyle = INK;
        if (gap.class === 'metal') ticks(context, line, 9 * ratio, 4 * ratio);
      }
      context.lineWidth = 2 * ratio;
      context.strokeStyle = INK;
      const jamb = thick / 2 + ratio;
      for (const [x, y] of line) {
        stroke(
          context,
          [
            [x - n[0] * jamb, y - n[1] * jamb],
            [x + n[0] * jamb, y + n[1] * jamb],
          ],
          2 * ratio,
        );
      }
    }),
  ];
  if (feature.properties.entry === true) {
    const face = (gap.thick / 2) * -inward;
    const tip: Point = [centre[0] + across[0] * face, centre[1] + across[1] * face];
    const end: Point = [tip[0] - across[0] * inward, tip[1] - across[1] * inward];
    styles.push(
      drawn([tip, end], 41, (context, [from, to], ratio) => {
        if (!from || !to) return;
        const [u, n] = axes({ a: from, b: to });
        const at = (along: number, side: number): [number, number] => [
          from[0] + u[0] * along * ratio + n[0] * side * ratio,
          from[1] + u[1] * along * ratio + n[1] * side * ratio,
        ];
        context.beginPath();
        context.moveTo(...at(4, 0));
        context.lineTo(...at(17, 8));
        context.lineTo(...at(17, -8));
        context.closePath();
        context.lineWidth = 3 * ratio;
        context.strokeStyle = PAPER;
        context.stroke();
        context.fillStyle = INK;
        context.fill();
      }),
    );
  }
  return styles;
}

/** Crossed lines, as a pattern; without a canvas a plain tone. */
function crossed(): CanvasPattern | string {
  const tile = document.createElement('canvas');
  tile.width = 8;
  tile.height = 8;
  const context = tile.getContext('2d');
  if (!context) return '#cdcdd2';
  context.fillStyle = '#cdcdd2';
  context.fillRect(0, 0, 8, 8);
  stroke(
    context,
    [
      [0, 0],
      [8, 8],
    ],
    0.8,
    'rgba(22, 22, 26, 0.45)',
  );
  stroke(
    context,
    [
      [0, 8],
      [8, 0],
    ],
    0.8,
    'rgba(22, 22, 26, 0.45)',
  );
  return context.createPattern(tile, 'repeat') ?? '#cdcdd2';
}

function areaStyles(feature: Feature, ring: Point[], pattern: CanvasPattern | string): Style[] {
  const geometry = new Polygon([ring]);
  switch (feature.kind) {
    case 'obstacle':
      return [
        new Style({
          geometry,
          zIndex: 8,
          fill: new Fill({ color: pattern }),
          stroke: new Stroke({ color: INK, width: 1.5 }),
        }),
      ];
    case 'roam':
      return [
        new Style({ geometry, zIndex: 7, stroke: new Stroke({ color: PAPER, width: 4 }) }),
        new Style({
          geometry,
          zIndex: 7,
          stroke: new Stroke({ color: INK, width: 2, lineDash: [2, 5], lineCap: 'butt' }),
        }),
      ];
    case 'slab':
      return [
        new Style({
          geometry,
          zIndex: 5,
          stroke: new Stroke({ color: QUIET, width: 1, lineDash: [10, 4, 2, 4] }),
        }),
      ];
    default:
      return [];
  }
}

/** Going of a step and half the width of a flight, as drawn, metres. */
const [STEP_M, HALF_FLIGHT_M] = [0.25, 0.4];

/** A flight of stairs: its steps, and the way up as an arrow. */
function stairStyles(line: Point[]): Style[] {
  return line.slice(1).map((to, at) => {
    const from = line[at] as Point;
    const metres = Math.hypot(to[0] - from[0], to[1] - from[1]);
    return drawn([from, to], 6, (context, ends, ratio) => {
      const [a, b] = ends as [Point, Point];
      const [u, n] = axes({ a, b });
      const pixels = Math.hypot(b[0] - a[0], b[1] - a[1]) / (metres || 1);
      context.strokeStyle = QUIET;
      context.lineWidth = ratio;
      ticks(context, ends, STEP_M * pixels, HALF_FLIGHT_M * pixels);
      stroke(context, ends, 1.5 * ratio, QUIET);
      const barb = (side: number): Point => [
        b[0] - (u[0] * 9 + n[0] * 5 * side) * ratio,
        b[1] - (u[1] * 9 + n[1] * 5 * side) * ratio,
      ];
      stroke(context, [barb(1), b, barb(-1)], 1.5 * ratio, QUIET);
    });
  });
}

function labelStyle(words: string, at: Point): Style {
  return new Style({
    geometry: new OlPoint(at),
    zIndex: 60,
    text: new Text({
      text: words,
      font: '600 12px system-ui, sans-serif',
      fill: new Fill({ color: QUIET }),
      backgroundFill: new Fill({ color: 'rgba(255, 255, 255, 0.8)' }),
      padding: [2, 3, 1, 4],
      overflow: true,
    }),
  });
}

/** A place inside rings, where their name stands. */
function insideOf(rings: Point[][]): Point | null {
  if (!rings[0] || rings[0].length < 3) return null;
  const [x, y] = new Polygon(rings).getInteriorPoint().getCoordinates();
  return x === undefined || y === undefined ? null : [x, y];
}

function roomName(feature: Feature): OlFeature[] {
  const { name } = feature.properties;
  const { geometry } = feature;
  if (feature.kind !== 'room' || typeof name !== 'string' || !geometry) return [];
  const at =
    geometry.type === 'Point' ? (geometry.coordinates as Point) : insideOf(linesOf(feature));
  return at ? [styled([labelStyle(name, at)], at)] : [];
}

function styled(styles: Style[], at: Point): OlFeature {
  const feature = new OlFeature(styles[0]?.getGeometry() as OlPoint | undefined) as OlFeature;
  if (!feature.getGeometry()) feature.setGeometry(new OlPoint(at));
  feature.setStyle(styles);
  return feature;
}

export interface Drawing {
  features: OlFeature[];
  labels: OlFeature[];
  /** Pieces of walls, for what hangs on them. */
  bodies: Body[];
}

/** A level of the plan, ready to be drawn. */
export function drawingOf(features: Feature[], level: number): Drawing {
  const here = features.filter((one) => one.level === level && one.geometry);
  const ofKind = (kind: string) => here.filter((one) => one.kind === kind);
  const bodies = bodiesOf(ofKind('wall'));
  const corners = bodies.flatMap(({ a, b }) => [a, b]);
  const middle: Point = corners.length > 0 ? middleOf(corners) : [0, 0];
  const pattern = crossed();
  const drawings: OlFeature[] = [];
  for (const body of bodies) drawings.push(styled(wallStyles(body), body.a));
  for (const opening of ofKind('opening')) {
    const gap = gapOf(opening, bodies);
    if (gap) drawings.push(styled(openingStyles(opening, gap, middle), gap.a));
  }
  for (const feature of here) {
    for (const ring of linesOf(feature)) {
      const styles = areaStyles(feature, ring, pattern);
      if (styles.length > 0) drawings.push(styled(styles, ring[0] as Point));
    }
    if (feature.kind === 'stairs') {
      for (const line of linesOf(feature))
        drawings.push(styled(stairStyles(line), line[0] as Point));
    }
    if (feature.kind === 'mountable') {
      for (const line of linesOf(feature)) {
        const look = new Style({
          geometry: new LineString(line),
          zIndex: 45,
          stroke: new Stroke({ color: '#0b4f6c', width: 3, lineDash: [1, 5], lineCap: 'round' }),
        });
        drawings.push(styled([look], line[0] as Point));
      }
    }
    if (feature.kind === 'outlet' && feature.geometry?.type === 'Point') {
      const at = feature.geometry.coordinates as Point;
      const look = new Style({
        geometry: new OlPoint(at),
        zIndex: 50,
        image: new CircleStyle({
          radius: 3,
          fill: new Fill({ color: QUIET }),
          stroke: new Stroke({ color: PAPER, width: 1.5 }),
        }),
      });
      drawings.push(styled([look], at));
    }
  }
  return { features: drawings, labels: here.flatMap(roomName), bodies };
}
