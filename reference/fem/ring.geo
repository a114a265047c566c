// SPDX-License-Identifier: MIT
// Axisymmetric half section of a horizontal ring of round conductor: x is the radius, y the height.
DefineConstant[
  ring = 2.0, radius = 0.004, depth = 0.6, interface = 1.2, outer = 4000, fine = 1
];
near = radius / 5 / fine;
far = outer / 8 / fine;
Point(1) = {ring, -depth, 0, near};
Point(2) = {ring + radius, -depth, 0, near};
Point(3) = {ring, -depth + radius, 0, near};
Point(4) = {ring - radius, -depth, 0, near};
Point(5) = {ring, -depth - radius, 0, near};
Circle(1) = {2, 1, 3};
Circle(2) = {3, 1, 4};
Circle(3) = {4, 1, 5};
Circle(4) = {5, 1, 2};
mid = 0.2 / fine;
Point(10) = {0, 0, 0, mid};
Point(11) = {outer, 0, 0, far};
Point(12) = {Sqrt(outer * outer - interface * interface), -interface, 0, far};
Point(13) = {0, -outer, 0, far};
Point(14) = {0, -interface, 0, mid};
Point(15) = {ring, -interface, 0, mid / 2};
Point(16) = {ring, 0, 0, mid / 2};
Line(10) = {10, 16};
Line(11) = {16, 11};
Circle(12) = {11, 10, 12};
Circle(13) = {12, 10, 13};
Line(14) = {13, 14};
Line(15) = {14, 10};
Line(16) = {14, 15};
Line(17) = {15, 12};
Curve Loop(1) = {10, 11, 12, -17, -16, 15};
Curve Loop(2) = {1, 2, 3, 4};
Plane Surface(1) = {1, 2};
Curve Loop(3) = {16, 17, 13, 14};
Plane Surface(2) = {3};
Physical Surface("upper", 1) = {1};
Physical Surface("lower", 2) = {2};
Physical Curve("metal", 3) = {1, 2, 3, 4};
Physical Curve("outer_upper", 4) = {12};
Physical Curve("outer_lower", 5) = {13};
Mesh.MeshSizeExtendFromBoundary = 1;
Mesh.Algorithm = 5;            // Delaunay; the default left flat triangles at the tip, as did its random shifts,
Mesh.RandomFactor = 1e-12;     // which are a part of the outer radius
