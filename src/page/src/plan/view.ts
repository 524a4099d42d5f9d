// The plan on the screen: OpenLayers in metres, the map of reserves under the walls.

import { getCenter } from 'ol/extent.js';
import { defaults as interactions } from 'ol/interaction/defaults.js';
import ImageLayer from 'ol/layer/Image.js';
import VectorLayer from 'ol/layer/Vector.js';
import OlMap from 'ol/Map.js';
import Projection from 'ol/proj/Projection.js';
import ImageCanvas from 'ol/source/ImageCanvas.js';
import VectorSource from 'ol/source/Vector.js';
import View from 'ol/View.js';
import { PictureLayer } from '../backdrop/picture_layer.ts';
import type { Stroke } from '../draw/tool.ts';
import type { Feature, HeatMap, Point } from '../live/protocol.ts';
import type { Bands } from './bands.ts';
import { Fingers, type Follower } from './fingers.ts';
import { paintMap } from './heat.ts';
import { drawingOf } from './paint.ts';
import { pencilled, shadow } from './pencil.ts';
import { MARKED } from './places.ts';
import type { Body } from './walls.ts';

const METRES = new Projection({ code: 'plan', units: 'm' });
/** Closest and farthest look, metres to a pixel. */
const [CLOSE, FAR] = [0.001, 2];

export class PlanView {
  bodies: Body[] = [];
  private readonly map: OlMap;
  private readonly walls = new VectorSource();
  private readonly labels = new VectorSource();
  private readonly sketch = new VectorSource();
  private readonly beneath = new VectorSource();
  private readonly fingers = new Fingers();
  /** The picture under the plan. */
  readonly picture = new PictureLayer(METRES);
  private readonly heat: ImageCanvas;
  private readonly heatLayer: ImageLayer<ImageCanvas>;
  private shown: { map: HeatMap; bands: Bands } | null = null;
  private readonly sized: ResizeObserver;
  private drawn = '';
  private bounds: number[] = [0, 0, 10, 10];

  constructor(target: HTMLElement, moved: () => void) {
    this.heat = new ImageCanvas({
      projection: METRES,
      ratio: 1.2,
      canvasFunction: (extent, resolution, ratio, size) =>
        this.paint(extent, resolution, ratio, size),
    });
    this.heatLayer = new ImageLayer({ source: this.heat });
    const sharp = { updateWhileAnimating: true, updateWhileInteracting: true };
    this.map = new OlMap({
      controls: [],
      interactions: interactions({ altShiftDragRotate: false, pinchRotate: false }),
      layers: [
        this.heatLayer,
        this.picture.layer,
        new VectorLayer({ source: this.beneath, ...sharp }),
        new VectorLayer({ source: this.walls, renderBuffer: 400, ...sharp }),
        new VectorLayer({ source: this.labels, declutter: true, ...sharp }),
        new VectorLayer({ source: this.sketch, ...sharp }),
      ],
      view: new View({
        projection: METRES,
        center: [5, 5],
        minResolution: CLOSE,
        maxResolution: FAR,
        resolution: 0.02,
      }),
    });
    // The last that is added hears first.
    this.map.addInteraction(this.fingers);
    this.map.on('postrender', moved);
    // OpenLayers wants a place that has a size already.
    this.sized = new ResizeObserver(() => {
      if (target.clientWidth === 0 || target.clientHeight === 0) return;
      if (this.map.getTarget() === target) return;
      this.map.setTarget(target);
      this.fit();
    });
    this.sized.observe(target);
  }

  /** Where marks go that stay on their place of the plan. */
  get overlay(): HTMLElement | undefined {
    return this.map.getOverlayContainer();
  }

  /** Draws a level of the plan, and faintly the one below. */
  draw(features: Feature[], level: number, below: number | null): void {
    // A device that moves is a mark; the drawing stays.
    const still = features.filter(({ kind }) => !MARKED.has(kind));
    const what = JSON.stringify([level, below, still]);
    if (what === this.drawn) return;
    this.drawn = what;
    const drawing = drawingOf(still, level);
    this.bodies = drawing.bodies;
    this.walls.clear(true);
    this.walls.addFeatures(drawing.features);
    this.labels.clear(true);
    this.labels.addFeatures(drawing.labels);
    this.beneath.clear(true);
    this.beneath.addFeatures(shadow(still, below));
  }

  /** Draws what is not yet of the plan. */
  pencil(strokes: Stroke[]): void {
    this.sketch.clear(true);
    this.sketch.addFeatures(pencilled(strokes));
  }

  /** Who follows the pointers on the plan; nobody: they move it. */
  follow(follower: Follower | null): void {
    this.fingers.follower = follower;
  }

  /** Puts a map of reserves under the plan, or none. */
  heatUp(map: HeatMap | null, bands: Bands): void {
    this.shown = map && { map, bands };
    this.heatLayer.setVisible(map !== null);
    this.heat.changed();
  }

  /** Shows all of the plan. */
  fit(bounds: number[] = this.bounds): void {
    this.bounds = bounds;
    const target = this.map.getTargetElement();
    // Without a size there is nothing to fit into, and OpenLayers complains.
    if (!target?.clientWidth || !target.clientHeight) return;
    const narrow = (this.map.getSize()?.[0] ?? 0) < 600;
    const edge = narrow ? 24 : 48;
    this.map.updateSize();
    this.map.getView().fit(bounds, { padding: [edge, edge, edge + 16, edge] });
  }

  zoom(by: number): void {
    const view = this.map.getView();
    const calm = matchMedia('(prefers-reduced-motion: reduce)').matches;
    const zoom = (view.getZoom() ?? 0) + by;
    view.animate({ zoom, duration: calm ? 0 : 150 });
  }

  /** Moves a place into the middle. */
  centre(at: Point): void {
    this.map.getView().setCenter(at);
  }

  /** Moves the plan just so far that a place is on the screen. */
  show(at: Point): void {
    const [pixel, size] = [this.pixelOf(at), this.map.getSize()];
    const [width = 0, height = 0] = size ?? [];
    if (!pixel || width === 0) return;
    const edge = Math.min(48, width / 4, height / 4);
    const out = (value: number, most: number) =>
      Math.min(0, value - edge) + Math.max(0, value - (most - edge));
    const [x, y] = [out(pixel[0], width), out(pixel[1], height)];
    const [right, up] = this.middle;
    if (x || y) this.centre([right + x * this.resolution, up - y * this.resolution]);
  }

  get middle(): Point {
    const [x, y] = this.map.getView().getCenter() ?? getCenter(this.bounds);
    return [x ?? 0, y ?? 0];
  }

  /** Metres to a pixel. */
  get resolution(): number {
    return this.map.getView().getResolution() ?? 0.02;
  }

  /** Pixels of a place, from the map's north-west corner. */
  pixelOf(at: Point): Point | null {
    return this.map.getPixelFromCoordinate(at) as Point | null;
  }

  /** The place under a pointer. */
  placeUnder({ clientX, clientY }: { clientX: number; clientY: number }): Point {
    const box = this.map.getTargetElement()?.getBoundingClientRect() ?? new DOMRect();
    const pixel = [clientX - box.left, clientY - box.top];
    return this.map.getCoordinateFromPixel(pixel) as Point;
  }

  dispose(): void {
    this.sized.disconnect();
    this.map.setTarget(undefined);
    this.map.dispose();
  }

  private paint(extent: number[], resolution: number, ratio: number, size: number[]) {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = size.map((pixels) => Math.max(1, Math.round(pixels))) as [
      number,
      number,
    ];
    const context = canvas.getContext('2d');
    if (this.shown && context) {
      const { width, height } = canvas;
      const pixels = paintMap(this.shown.map, this.shown.bands, {
        west: extent[0] ?? 0,
        north: extent[3] ?? 0,
        resolution: resolution / ratio,
        width,
        height,
        ratio,
      });
      context.putImageData(new ImageData(pixels, width, height), 0, 0);
    }
    return canvas;
  }
}
