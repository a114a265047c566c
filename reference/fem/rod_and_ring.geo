// SPDX-License-Identifier: MIT
// Axisymmetric half section of a vertical rod, flush with the surface, and a horizontal ring of round
// conductor about it, in two layers: x is the radius, y the height.
DefineConstant[
  length = 2.4, radius = 0.008, interface = 1.2, ring = 2.0, wire = 0.004, depth = 0.6, outer = 4000, fine = 1
];
tip = radius / 40 / fine;    // the field is singular at the edge of the flat end
side = radius / 2 / fine;
near = wire / 5 / fine;
mid = 0.1 / fine;
far = outer / 8 / fine;
Point(1) = {0, -length, 0, tip * 4};
Point(2) = {radius, -length, 0, tip};
Point(3) = {radius, -interface, 0, side};
Point(4) = {radius, 0, 0, side};
Point(5) = {outer, 0, 0, far};
Point(6) = {Sqrt(outer * outer - interface * interface), -interface, 0, far};
Point(7) = {0, -outer, 0, far};
Point(8) = {0, 0, 0, far};   // centre
Point(9) = {radius, -length + 4 * radius, 0, side / 2};
Point(10) = {ring, 0, 0, mid};
Point(11) = {ring, -interface, 0, mid};
Point(20) = {ring, -depth, 0, near};
Point(21) = {ring + wire, -depth, 0, near};
Point(22) = {ring, -depth + wire, 0, near};
Point(23) = {ring - wire, -depth, 0, near};
Point(24) = {ring, -depth - wire, 0, near};
Line(1) = {1, 2};
Line(2) = {2, 9};
Line(10) = {9, 3};
Line(3) = {3, 4};
Line(4) = {4, 10};
Line(11) = {10, 5};
Circle(5) = {5, 8, 6};
Circle(6) = {6, 8, 7};
Line(7) = {7, 1};
Line(8) = {3, 11};
Line(12) = {11, 6};
Circle(20) = {21, 20, 22};
Circle(21) = {22, 20, 23};
Circle(22) = {23, 20, 24};
Circle(23) = {24, 20, 21};
Curve Loop(1) = {3, 4, 11, 5, -12, -8};
Curve Loop(2) = {20, 21, 22, 23};
Plane Surface(1) = {1, 2};
Curve Loop(3) = {1, 2, 10, 8, 12, 6, 7};
Plane Surface(2) = {3};
Physical Surface("upper", 1) = {1};
Physical Surface("lower", 2) = {2};
Physical Curve("metal", 3) = {1, 2, 10, 3};
Physical Curve("outer_upper", 4) = {5};
Physical Curve("outer_lower", 5) = {6};
Physical Curve("second", 6) = {20, 21, 22, 23};
Mesh.MeshSizeExtendFromBoundary = 1;
Mesh.Algorithm = 5;            // Delaunay; the default left flat triangles at the tip, as did its random shifts,
Mesh.RandomFactor = 1e-12;     // which are a part of the outer radius
