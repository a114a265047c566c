// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/core/estimate.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::acceptance {

/// Ways of testing without driven stakes.
enum class OtherMethod {
  two_point,  ///< against another earth, without stakes
  loop,       ///< earth fault loop tester between line and the electrode's conductor
  clamp       ///< clamp that induces and measures a current in the electrode's conductor
};
[[nodiscard]] std::string method_name(OtherMethod method);

/// A reading by such a method, and what is known of the circuit that it went through.
struct OtherReading {
  OtherMethod method = OtherMethod::two_point;
  double reading_ohm = 0.0;
  double relative_error_ratio = 0.05;  ///< one standard deviation, of the instrument and the reading
  double lead_ohm = 0.0;               ///< test leads, in the reading
  /// Resistance of the rest of the circuit: two-point the other earth, loop line and source earth, clamp the
  /// network that closes the loop. None: not known.
  std::optional<Estimate> return_path_ohm;
  Answer is_pme_connected = Answer::not_known;  ///< electrode joined to the PME terminal during the reading
  Answer is_other_earth_apart = Answer::not_known;  ///< two-point: ten electrode lengths away or more
  Answer has_metal_loop = Answer::not_known;        ///< clamp: a second metal way from electrode to terminal
};

/// What such a reading says of the electrode.
struct OtherResult {
  std::string measures;  ///< what the reading really is, in this circuit
  /// Of the electrode: 90 % interval; with is_upper_bound its greatest only, value and least are 0.
  std::optional<Estimate> resistance_ohm;
  bool is_upper_bound = false;
  std::string correction;  ///< what was taken off, and on what ground
  std::string refusal;     ///< why there is no resistance; empty otherwise
};

/// Judges by the circuit: two-point and clamp readings are sums with the other earth, a loop reading is a sum
/// with line and source earth; with the other part known it is taken off, without it the reading is an upper
/// bound. Refused where it is another circuit's: two-point and loop with PME connected or not known, earths
/// that are not apart, a clamp on a loop of metal, a clamp without PME (no loop). Source: circuit theory.
/// Throws DomainError unless reading and lead are finite, the reading positive, lead_ohm not negative,
/// relative_error_ratio from 1e-4 to 0.5 and the return path's interval ordered and not negative.
[[nodiscard]] OtherResult judge_other(const OtherReading& reading);

/// The whole test by such a method: reading, safe working, prediction, verdict.
struct OtherTestResult {
  OtherResult reading;
  Estimate prediction_ohm;
  std::string separation;  ///< as TestResult::separation; empty for a clamp, which needs the network
  std::vector<Finding> findings;
  AcceptanceValue acceptance;
  std::optional<Estimate> worst_season_ohm;
  TestVerdict verdict = TestVerdict::cannot_tell;
  std::string why;
};
/// That the electrode is separated is not asked of a clamp reading, which needs it connected. Throws DomainError as
/// judge_other() and judge_test().
[[nodiscard]] OtherTestResult judge_other_test(const TestedElectrode& electrode, const OtherReading& reading,
                                               const SafeWorking& safe_working, const Criterion& criterion);

}  // namespace ohmroot::acceptance
