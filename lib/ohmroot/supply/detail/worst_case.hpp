// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/detail/branch.hpp>
#include <ohmroot/supply/detail/question.hpp>

#include <optional>
#include <vector>

namespace ohmroot::supply::detail {

/// The operating point at which a limit is met, or the branch ends before it is.
struct Binding {
  double loop_ohm = 0.0;         ///< earth paths and source earth in series
  double current_size_a = 0.0;   ///< all loads together
  std::optional<double> load_v;  ///< across the loads, if they are on one phase
  bool is_end = false;
};

/// What one definite circuit needs.
struct Need {
  double conductance_s = 0.0;      // zero or less: nothing
  std::optional<Binding> binding;  // only with constant current or power
};
[[nodiscard]] Need need_of(const OpenPenCircuit& circuit, double limit_v);

/// The worst case over source voltage and load intervals.
struct Worst {
  OpenPenCircuit circuit;
  Need need;
  bool is_proven = false;
};

/// The search for it. setting and scene must outlive it.
class WorstCase {
public:
  WorstCase(const Setting& setting, const Scene& scene);

  /// Coordinates: one per group of loads that rise and fall together, then the source voltage; what has one
  /// value only has no coordinate.
  [[nodiscard]] std::size_t dimension_count() const;

  /// All corners (2^dimension_count), and the interior where they are not proved to hold the worst case.
  [[nodiscard]] Worst find() const;

  /// Currents of all loads of the question in the circuit found, those outside the scene at 0.
  [[nodiscard]] std::vector<double> currents_a(const OpenPenCircuit& circuit) const;

private:
  [[nodiscard]] OpenPenCircuit circuit_at(const std::vector<double>& point) const;

  const Setting& setting_;
  const Scene& scene_;
  std::vector<Scene> groups_;
  Scene fixed_;  // loads of one current only
};

}  // namespace ohmroot::supply::detail
