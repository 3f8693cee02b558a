// Package roofplan is the geometry of a roof plan: planes in plan view and on their surface, edges classed as eave,
// ridge, rake, hip or valley, planes laid flat beside each other across hips and valleys, areas and coverage, exact
// distances between modules, obstructions and edges over the planes that join, the sections that modules form and the aisles
// between them, and the clear ways of a crew over the roof.
//
// All values are plain: lengths in metres, areas in square metres, angles in degrees. Two frames are in use. Plan view:
// x east, y north. Surface of a plane: x along its lowest edge from the left end as seen looking up the slope, y up the
// slope, both measured on the surface. A flat frame, for several planes laid out, is the surface frame of the first of them.
//
// Nothing here knows a limit of any code: widths, depths and intervals are given by the caller.
package roofplan
