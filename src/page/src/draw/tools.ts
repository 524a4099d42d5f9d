// Every tool, in the order of the strip.

import { pencilTool } from '../backdrop/pencil_tool.tsx';
import { pictureTool } from '../backdrop/picture_tool.tsx';
import { selectTool } from '../things/select_tool.tsx';
import { THING_TOOLS } from '../things/tools.tsx';
import { holeTool, mountableTool, obstacleTool, roamTool, slabTool, stairsTool } from './areas.tsx';
import type { Tool } from './tool.ts';
import { wallTool } from './walls.tsx';

export const TOOLS: readonly Tool[] = [
  selectTool,
  wallTool,
  slabTool,
  holeTool,
  stairsTool,
  obstacleTool,
  ...THING_TOOLS,
  roamTool,
  mountableTool,
  pictureTool,
  pencilTool,
];
