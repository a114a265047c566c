# SPDX-License-Identifier: MIT
# The walk in small steps solves three equations at a time.
find_package(Eigen3 3.4 REQUIRED NO_MODULE)
target_link_libraries(test_supply PRIVATE Eigen3::Eigen)
