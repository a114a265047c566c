# SPDX-License-Identifier: MIT
# Tests solve and integrate by routes of their own.
find_package(Boost 1.74 REQUIRED)
find_package(Eigen3 3.4 REQUIRED NO_MODULE)
target_link_libraries(test_bodies PRIVATE Boost::headers Eigen3::Eigen)
