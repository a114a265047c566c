// SPDX-License-Identifier: MIT
#pragma once

#include <catch2/catch.hpp>

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace ohmroot::test {

/// The values of each case of a table in reference/fem (case, fineness, nodes, values) at its greatest fineness.
inline std::map<std::string, std::vector<double>> finest_values(const std::string& table) {
  std::ifstream file(std::string(OHMROOT_SOURCE_DIR) + "/reference/fem/" + table);
  REQUIRE(file.good());
  std::map<std::string, std::vector<double>> result;
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line[0] == '#') continue;
    std::istringstream words(line);
    std::string name;
    int fine = 0;
    int nodes = 0;
    words >> name >> fine >> nodes;
    std::vector<double> values;
    for (double value = 0.0; words >> value;)
      values.push_back(value);
    REQUIRE_FALSE(values.empty());
    result[name] = values;  // finenesses ascend
  }
  return result;
}

}  // namespace ohmroot::test
