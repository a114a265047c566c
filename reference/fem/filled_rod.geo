// SPDX-License-Identifier: MIT
// Axisymmetric half section of a vertical rod in a column of fill as long as the rod, both flush with the surface, in
// two layers of soil: x is the radius, y the height.
DefineConstant[
  length = 3.0, radius = 0.008, fill_radius = 0.05, interface = 1.2, outer = 4000, fine = 1
];
tip = radius / 40 / fine;    // the field is singular at the edges of both flat ends
side = radius / 2 / fine;
out_tip = fill_radius / 80 / fine;
out_side = fill_radius / 4 / fine;
far = outer / 8 / fine;
Point(1) = {0, -length, 0, tip * 4};
Point(2) = {radius, -length, 0, tip};
Point(3) = {radius, -length + 4 * radius, 0, side / 2};
Point(4) = {radius, 0, 0, side};
Point(5) = {fill_radius, 0, 0, out_side};
Point(6) = {fill_radius, -interface, 0, out_side};
Point(7) = {fill_radius, -length + fill_radius, 0, out_side / 2};
Point(8) = {fill_radius, -length, 0, out_tip};
Point(10) = {outer, 0, 0, far};
Point(11) = {Sqrt(outer * outer - interface * interface), -interface, 0, far};
Point(12) = {0, -outer, 0, far};
Point(13) = {0, 0, 0, far};  // centre
Line(1) = {1, 2};
Line(2) = {2, 3};
Line(3) = {3, 4};
Line(4) = {4, 5};
Line(5) = {5, 6};
Line(6) = {6, 7};
Line(7) = {7, 8};
Line(8) = {8, 2};
Line(9) = {5, 10};
Circle(10) = {10, 13, 11};
Circle(11) = {11, 13, 12};
Line(12) = {12, 1};
Line(13) = {6, 11};
Curve Loop(1) = {2, 3, 4, 5, 6, 7, 8};
Plane Surface(1) = {1};
Curve Loop(2) = {9, 10, -13, -5};
Plane Surface(2) = {2};
Curve Loop(3) = {1, -8, -7, -6, 13, 11, 12};
Plane Surface(3) = {3};
Physical Surface("upper", 1) = {2};
Physical Surface("lower", 2) = {3};
Physical Surface("fill", 7) = {1};
Physical Curve("metal", 3) = {1, 2, 3};
Physical Curve("outer_upper", 4) = {10};
Physical Curve("outer_lower", 5) = {11};
Mesh.MeshSizeExtendFromBoundary = 1;
Mesh.Algorithm = 5;
Mesh.RandomFactor = 1e-12;
