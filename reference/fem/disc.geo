// SPDX-License-Identifier: MIT
// Axisymmetric half section of a thin horizontal disc: x is the radius, y the height.
DefineConstant[
  radius = 0.5, depth = 0.5, interface = 1.2, outer = 4000, fine = 1
];
edge = radius / 2000 / fine;
face = radius / 10 / fine;
mid = 0.2 / fine;
far = outer / 8 / fine;
Point(1) = {0, -depth, 0, face};
Point(2) = {radius, -depth, 0, edge};
Line(1) = {1, 2};
Point(10) = {0, 0, 0, mid};
Point(11) = {outer, 0, 0, far};
Point(12) = {Sqrt(outer * outer - interface * interface), -interface, 0, far};
Point(13) = {0, -outer, 0, far};
Point(14) = {0, -interface, 0, mid};
Point(15) = {2 * radius, -interface, 0, mid / 2};
Point(16) = {2 * radius, 0, 0, mid / 2};
Line(10) = {10, 16};
Line(11) = {16, 11};
Circle(12) = {11, 10, 12};
Circle(13) = {12, 10, 13};
Line(14) = {13, 14};
Line(15) = {14, 1};
Line(16) = {1, 10};
Line(17) = {14, 15};
Line(18) = {15, 12};
Curve Loop(1) = {10, 11, 12, -18, -17, 15, 16};
Plane Surface(1) = {1};
Curve{1} In Surface{1};
Curve Loop(2) = {17, 18, 13, 14};
Plane Surface(2) = {2};
Physical Surface("upper", 1) = {1};
Physical Surface("lower", 2) = {2};
Physical Curve("metal", 3) = {1};
Physical Curve("outer_upper", 4) = {12};
Physical Curve("outer_lower", 5) = {13};
Mesh.MeshSizeExtendFromBoundary = 1;
Mesh.Algorithm = 5;
Mesh.RandomFactor = 1e-12;
