// SPDX-License-Identifier: MIT
// Quarter of a rectangular block flush with the surface, in two layers: x and y from its middle, z is the
// height.
SetFactory("OpenCASCADE");
DefineConstant[
  length = 2.0, width = 1.0, depth = 2.0, interface = 1.2, outer = 2000, fine = 1
];
Sphere(1) = {0, 0, 0, outer, -Pi/2, 0, Pi/2};
Box(2) = {0, 0, -depth, length/2, width/2, depth};
BooleanDifference(3) = { Volume{1}; Delete; }{ Volume{2}; Delete; };
Box(4) = {0, 0, -interface, 2*outer, 2*outer, interface};
Box(5) = {0, 0, -2*outer, 2*outer, 2*outer, 2*outer - interface};
BooleanIntersection(6) = { Volume{3}; }{ Volume{4}; Delete; };
BooleanIntersection(7) = { Volume{3}; Delete; }{ Volume{5}; Delete; };
BooleanFragments{ Volume{6}; Delete; }{ Volume{7}; Delete; }
e = 1e-4;
big = 2 * outer;
metal() = Surface In BoundingBox {-e, -e, -depth-e, length/2+e, width/2+e, e};
up() = Volume In BoundingBox {-e, -e, -interface-e, outer+e, outer+e, e};
low() = Volume{:};
low() -= up();
ball() = Abs(CombinedBoundary{ Volume{:}; });
ball() -= metal();
flat() = Surface In BoundingBox {-e, -big, -big, e, big, big};
flat() += Surface In BoundingBox {-big, -e, -big, big, e, big};
flat() += Surface In BoundingBox {-big, -big, -e, big, big, e};
ball() -= flat();
ball_up() = ball();
ball_up() -= Abs(Boundary{ Volume{low()}; });
ball_low() = ball();
ball_low() -= ball_up();
Physical Volume("upper", 1) = {up()};
Physical Volume("lower", 2) = {low()};
Physical Surface("metal", 3) = {metal()};
Physical Surface("outer_upper", 4) = {ball_up()};
Physical Surface("outer_lower", 5) = {ball_low()};
edges() = Boundary{ Surface{metal()}; };
Field[1] = Distance; Field[1].SurfacesList = {metal()};  // grows from the block outwards
Field[2] = MathEval; Field[2].F = Sprintf("%g + 0.35 * F1 / %g", 0.15 / fine, fine ^ 0.5);
Field[3] = Distance; Field[3].CurvesList = {edges()}; Field[3].NumPointsPerCurve = 400;
Field[4] = MathEval; Field[4].F = Sprintf("%g + 0.35 * F3 / %g", 0.008 / fine, fine ^ 0.5);
Field[5] = Min; Field[5].FieldsList = {2, 4};
Background Field = 5;
Mesh.MeshSizeExtendFromBoundary = 0;
Mesh.MeshSizeFromPoints = 0;
Mesh.Algorithm3D = 1;
Mesh.RandomFactor = 1e-9;
