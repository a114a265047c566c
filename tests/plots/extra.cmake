# SPDX-License-Identifier: MIT
target_link_libraries(test_plots PRIVATE ohmroot_plots)
