# SPDX-License-Identifier: MIT
# The equipotential truth of the tests needs linear algebra and quadrature.
find_package(Boost 1.74 REQUIRED)
find_package(Eigen3 3.4 REQUIRED NO_MODULE)
target_link_libraries(test_electrode PRIVATE Boost::headers Eigen3::Eigen)
