# SPDX-License-Identifier: MIT
add_dependencies(test_cli ohmroot_program)
target_compile_definitions(test_cli PRIVATE OHMROOT_PROGRAM="$<TARGET_FILE:ohmroot_program>")
