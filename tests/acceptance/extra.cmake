# SPDX-License-Identifier: MIT
find_package(Boost 1.74 REQUIRED)
target_link_libraries(test_acceptance PRIVATE Boost::headers)
