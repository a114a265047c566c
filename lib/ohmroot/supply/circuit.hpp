// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/open_pen.hpp>

#include <array>
#include <complex>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::supply {

/// Where the PEN is broken. It decides who is beyond the break; the state itself follows from that alone.
enum class BreakPlace {
  own_service,         ///< one customer beyond it
  shared_service,      ///< a service looped to several customers
  main_with_customers  ///< the main in the street
};
[[nodiscard]] std::string_view break_place_name(BreakPlace place);  ///< "own service", ...

/// One installation: its loads between line and neutral, and its ways to earth at its MET.
struct Customer {
  std::string name;
  std::vector<DefiniteLoad> loads;
  std::optional<double> electrode_ohm;       ///< own electrode with its conductor, 1e-6 to 1e12 ohm
  std::vector<double> bonded_metalwork_ohm;  ///< each bonded pipe, frame, sheath to earth, likewise
  bool is_beyond_break = true;
};

/// A line conductor of a customer in contact with the MET (by way of a protective conductor) or with true
/// earth.
struct LineFault {
  enum class To { met, true_earth };
  To to = To::met;
  std::size_t customer = 0;  ///< place in SupplyCircuit::customers
  int phase = 1;
  double resistance_ohm = 1.0;  ///< 1e-6 to 1e12 ohm
};

struct SupplyCircuit {
  double source_v = 253.0;
  double nominal_v = 230.0;
  bool is_sequence_reversed = false;
  double source_earth_ohm = 0.0;                 ///< of the star point
  std::vector<double> network_earth_beyond_ohm;  ///< the distributor's own electrodes beyond the break
  BreakPlace place = BreakPlace::own_service;
  double break_ohm =
      std::numeric_limits<double>::infinity();  ///< of the break itself: 0 whole, infinite open
  std::vector<Customer> customers;
  std::optional<LineFault> fault;
};

struct CustomerState {
  std::string name;
  std::complex<double> met_v;  ///< to true earth
  std::array<double, 3> line_to_neutral_v{};
  double electrode_current_a = 0.0;
  double electrode_power_w = 0.0;
  std::vector<double> metalwork_current_a;
  /// Difference between line and neutral currents that an RCD at the origin sees. The load current comes back
  /// through it on the neutral whatever the MET does, so that only a fault of this customer counts.
  double origin_rcd_a = 0.0;
  double faulted_circuit_rcd_a = 0.0;  ///< on the circuit with the fault; every other circuit's sees 0
};

/// Unless status is solved, only status, why, branch_end_ohm and other_displacement_v mean anything.
struct CircuitState {
  OpenPenStatus status = OpenPenStatus::solved;
  std::string why;
  std::complex<double> displacement_v;  ///< star point to the neutral beyond the break
  std::complex<double> star_point_v;    ///< to true earth; also the MET of everyone on the healthy side
  std::vector<CustomerState> customers;
  double kirchhoff_residual_ratio = 0.0;  ///< of the sum of the load currents' magnitudes
  /// Impedance of the break at which the branch of the healthy state ends, if it does before break_ohm.
  std::optional<double> branch_end_ohm;
  /// Operating points of the same circuit on other branches, as star point to neutral: not reached by a PEN
  /// that breaks, but loads that stall or drop out may end there. Found by search.
  std::vector<std::complex<double>> other_displacement_v;
};

/// The state reached by raising the impedance of the break from zero to break_ohm. Line impedances are 0.
/// Source: circuit theory. Throws DomainError for a value outside its range, for own_service with a number
/// of customers beyond the break other than one, and for no customer beyond it.
[[nodiscard]] CircuitState circuit_state(const SupplyCircuit& circuit);

/// A customer cut off with a generator of its own whose star point is at the MET: the ways to earth at the MET
/// become the earth of the source.
struct IslandState {
  double met_v = 0.0;            ///< magnitude to true earth; 0 unless a line is in contact with earth
  double fault_current_a = 0.0;  ///< through the earth
  std::optional<double> source_earth_ohm;  ///< none: nothing earths the source
};
struct Island {
  double source_v = 230.0;
  Customer customer;
  std::optional<double> line_to_true_earth_ohm;
};
/// Source: circuit theory. Throws DomainError for a value outside its range.
[[nodiscard]] IslandState island_state(const Island& island);

/// What if the break is next door: the same question for the own service and for the street, side by side.
enum class StreetVerdict { holds, fails, cannot_be_decided };
struct StreetComparison {
  StreetVerdict verdict = StreetVerdict::cannot_be_decided;  ///< the worse of the two
  std::string sentence;
  std::optional<double> own_met_v;
  std::optional<double> street_met_v;
};
struct StreetQuestion {
  SupplyCircuit own_service;
  std::optional<SupplyCircuit> street;  ///< none: no data on the other customers
  std::size_t customer = 0;             ///< whose MET is asked about, in both circuits
  double limit_v = 70.0;
  std::string own_service_reason;  ///< why only a break in the own service counts; empty: break unstated
};
/// Throws DomainError as circuit_state() does, and for a customer that is not in a circuit.
[[nodiscard]] StreetComparison street_comparison(const StreetQuestion& question);

}  // namespace ohmroot::supply
