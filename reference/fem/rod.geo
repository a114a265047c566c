// SPDX-License-Identifier: MIT
// Axisymmetric half section of a vertical rod, flush with the surface, in two layers: x is the radius,
// y the height (the soil is y <= 0). The outer boundary is a plain circle, thousands of layers away; the
// condition on it is in field.pro.
DefineConstant[
  length = 2.4, radius = 0.008, interface = 1.2, outer = 4000, fine = 1
];
tip = radius / 40 / fine;    // the field is singular at the edge of the flat end
side = radius / 2 / fine;
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
Line(1) = {1, 2};
Line(2) = {2, 9};
Line(10) = {9, 3};
Line(3) = {3, 4};
Line(4) = {4, 5};
Circle(5) = {5, 8, 6};
Circle(6) = {6, 8, 7};
Line(7) = {7, 1};
Line(8) = {3, 6};
Curve Loop(1) = {3, 4, 5, -8};
Plane Surface(1) = {1};
Curve Loop(2) = {1, 2, 10, 8, 6, 7};
Plane Surface(2) = {2};
Physical Surface("upper", 1) = {1};
Physical Surface("lower", 2) = {2};
Physical Curve("metal", 3) = {1, 2, 10, 3};
Physical Curve("outer_upper", 4) = {5};
Physical Curve("outer_lower", 5) = {6};
Mesh.MeshSizeExtendFromBoundary = 1;
Mesh.Algorithm = 5;            // Delaunay; the default left flat triangles at the tip, as did its random shifts,
Mesh.RandomFactor = 1e-12;     // which are a part of the outer radius
