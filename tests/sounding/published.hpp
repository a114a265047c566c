// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

#include <numbers>
#include <vector>

namespace published {

using ohmroot::sounding::FourPoleReading;
using ohmroot::sounding::wenner_reading;

struct WennerRow {
  double a_m;
  double apparent_ohm_m;
};

inline std::vector<FourPoleReading> from_apparent(const std::vector<WennerRow>& rows) {
  std::vector<FourPoleReading> readings;
  for (const auto& [a_m, apparent_ohm_m] : rows)
    readings.push_back(wenner_reading(a_m, apparent_ohm_m / (2.0 * std::numbers::pi * a_m)));
  return readings;
}

// Kindermann and Campagnolo, Aterramento Eletrico (textbook): three two-layer examples, read as
// typed copys of the printed tables. A is a field example, B and C are computed ones.
inline const std::vector<WennerRow> kind_a{{2.5, 320}, {5, 245},    {7.5, 182},
                                           {10, 162},  {12.5, 168}, {15, 152}};
inline const std::vector<WennerRow> kind_b{{1, 996},  {2, 974},  {4, 858},  {6, 696}, {8, 549},
                                           {12, 361}, {16, 276}, {22, 230}, {32, 210}};
inline const std::vector<WennerRow> kind_c{{1, 684}, {2, 611},  {4, 415}, {6, 294},
                                           {8, 237}, {16, 189}, {32, 182}};

// Seedher and Arora, IEEE Trans. Power Delivery 7(3), 1992, case study: computed by an approximate
// expression, printed up to 0.09 % (first), 0.02 % (second), 0.001 % (third) below the exact two-layer
// values.
inline const std::vector<WennerRow> seedher_1{{1, 693.74}, {2, 251.62}, {3, 84.56}, {4, 37.64}, {5, 25.32}};
inline const std::vector<WennerRow> seedher_2{
    {2, 123.33}, {4, 189.99}, {6, 258.93}, {8, 320.27}, {10, 374.13}};
inline const std::vector<WennerRow> seedher_3{
    {2, 102.26}, {4, 113.07}, {6, 129.77}, {8, 147.52}, {10, 163.95}};

// Substation design manual of a Malaysian utility, App. B.2.3, Table B-3, p. 411: resistances of two
// traverses of one site (the printed resistivities use pi = 3.142).
struct ResistanceRow {
  double a_m;
  double resistance_ohm;
  double printed_ohm_m;
};
inline const std::vector<ResistanceRow> traverse_1{
    {1, 21.1, 132.59},   {1.5, 14.43, 136.02}, {2, 10.96, 137.75}, {3, 6.52, 122.92},
    {4.5, 4.55, 128.66}, {6, 3.37, 127.06},    {9, 2.48, 140.26},  {13.5, 1.609, 136.5}};
inline const std::vector<ResistanceRow> traverse_2{
    {1, 20, 125.68},    {1.5, 13.96, 131.59}, {2, 10.07, 126.56}, {3, 7.27, 137.05},
    {4.5, 4.59, 129.8}, {6, 3.4, 128.19},     {9, 2.3, 130.08},   {13.5, 1.593, 135.14}};

inline std::vector<FourPoleReading> from_resistance(const std::vector<ResistanceRow>& rows) {
  std::vector<FourPoleReading> readings;
  for (const ResistanceRow& row : rows)
    readings.push_back(wenner_reading(row.a_m, row.resistance_ohm));
  return readings;
}

// Three-layer Wenner example of Brazilian earthing courses, read in a student worksheet.
inline const std::vector<WennerRow> three_layers{{1, 11938}, {2, 15770}, {4, 17341},
                                                 {8, 11058}, {16, 5026}, {32, 3820}};

// A failed sounding from a public field data set (Myanmar): no layered soil can show it.
inline const std::vector<WennerRow> failed{{1, 1.88}, {2, 0.22}, {7, 0.09}, {10, 0.93}, {20, 0.16}};

}  // namespace published
