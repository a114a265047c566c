# SPDX-License-Identifier: MIT
# Tests of the sampler speak of vectors.
find_package(Boost 1.74 REQUIRED)
find_package(Eigen3 3.4 REQUIRED NO_MODULE)
target_link_libraries(test_sounding PRIVATE Boost::headers Eigen3::Eigen)
