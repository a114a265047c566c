// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/earth/surface_readings.hpp>
#include <ohmroot/sounding/detail/fit_quality.hpp>
#include <ohmroot/sounding/interpretation.hpp>

#include <Eigen/Dense>

#include <optional>
#include <vector>

namespace ohmroot::sounding::detail {

/// A point of the search and its objective.
struct Minimum {
  Eigen::VectorXd at;
  double chi_square = 0.0;
};

[[nodiscard]] bool is_better(const Minimum& a, const Minimum& b);

/// The readings, a soil of so many layers, and the box that is searched. Parameters: ln of the resistivities from the
/// top, ln of the thicknesses, then, with several traverses, ln of the factor of each.
class FitProblem {
public:
  /// data: readings first, then over-range ones.
  FitProblem(const FitData& data, int layer_count, Objective objective);

  [[nodiscard]] Eigen::Index layer_count() const { return layer_count_; }
  [[nodiscard]] Eigen::Index soil_parameter_count() const { return 2 * layer_count_ - 1; }
  [[nodiscard]] Eigen::Index parameter_count() const { return least_.size(); }
  [[nodiscard]] bool is_thickness(Eigen::Index parameter) const {
    return parameter >= layer_count_ && parameter < soil_parameter_count();
  }
  [[nodiscard]] const Eigen::VectorXd& least() const { return least_; }
  [[nodiscard]] const Eigen::VectorXd& greatest() const { return greatest_; }
  [[nodiscard]] Eigen::VectorXd inside(const Eigen::VectorXd& p) const {
    return p.cwiseMax(least_).cwiseMin(greatest_);
  }
  /// ln of the apparent resistivity that was read, by spacing. [ln of ohm m, ln of m]
  [[nodiscard]] double apparent_at(double ln_spacing) const;
  [[nodiscard]] double least_ln_spacing() const { return ln_spacing_.minCoeff(); }
  [[nodiscard]] double greatest_ln_spacing() const { return ln_spacing_.maxCoeff(); }
  [[nodiscard]] double weight_sum() const { return error_.array().inverse().square().sum(); }

  /// Rows of the objective: one per reading, one per driven rod, one per factor of a traverse.
  [[nodiscard]] Eigen::Index row_count() const { return measured_.size() + rod_count() + traverse_count_; }

  struct Rows {
    Eigen::VectorXd values;    ///< their squares sum to the objective
    Eigen::MatrixXd jacobian;  ///< empty unless asked for
  };
  /// rough: prepared for these readings, to look for valleys; fast: the fitted kernel where its error is small beside the
  /// stated ones; exact: the accurate route.
  enum class Route { rough, fast, exact };
  [[nodiscard]] Rows rows(const Eigen::VectorXd& p, Route route, bool is_jacobian_wanted) const;
  [[nodiscard]] double chi_square(const Eigen::VectorXd& p, Route route = Route::fast) const {
    return rows(p, route, false).values.squaredNorm();
  }
  /// ln(measured / modelled) of the readings, the factors of the traverses taken out, by the accurate route.
  [[nodiscard]] Eigen::VectorXd residuals(const Eigen::VectorXd& p) const;
  /// The same of the driven rods that are not over range.
  [[nodiscard]] std::vector<double> rod_residuals(const Eigen::VectorXd& p) const;

  /// By how much ln of all resistivities is to be lifted to meet the mean of the readings.
  [[nodiscard]] double level(const Eigen::VectorXd& p) const;

  [[nodiscard]] earth::LayeredSoil soil_of(const Eigen::VectorXd& p) const;
  [[nodiscard]] std::vector<double> traverse_factors(const Eigen::VectorXd& p) const;

private:
  struct Model {
    Eigen::VectorXd ln_apparent;
    Eigen::MatrixXd jacobian;
  };
  [[nodiscard]] bool is_fast_good(const earth::LayeredSoil& soil) const;
  [[nodiscard]] double floor_ohm_m(const Eigen::VectorXd& p) const;
  [[nodiscard]] Model modelled(const Eigen::VectorXd& p, Route route, bool is_jacobian_wanted) const;
  [[nodiscard]] Model modelled_quickly(const Eigen::VectorXd& p, bool is_jacobian_wanted) const;
  [[nodiscard]] Model modelled_roughly(const Eigen::VectorXd& p, bool is_jacobian_wanted) const;
  [[nodiscard]] Model modelled_fast(const Eigen::VectorXd& p, bool is_jacobian_wanted) const;
  [[nodiscard]] Eigen::VectorXd modelled_exact(const Eigen::VectorXd& p) const;
  [[nodiscard]] Eigen::MatrixXd differences(const Eigen::VectorXd& p) const;

  [[nodiscard]] Eigen::Index rod_count() const { return static_cast<Eigen::Index>(rods_.size()); }
  void add_rod_rows(const Eigen::VectorXd& p, Rows& rows) const;

  const std::vector<FitDatum>& data_;
  std::vector<DrivenRodReading> rods_;  // with the error that the objective gives each
  Eigen::Index layer_count_;
  Objective objective_;
  Eigen::Index traverse_count_ = 0;  // 0 where there is one only
  Eigen::Index reading_count_ = 0;   // before the over-range ones
  Eigen::VectorXd measured_;
  Eigen::VectorXd error_;
  Eigen::VectorXd ln_spacing_;
  Eigen::VectorXd factors_m_;  // geometric, contacts at the surface
  std::vector<double> distances_m_;
  std::vector<double> weights_;
  std::vector<std::size_t> ends_;
  std::optional<earth::SurfaceReadings> prepared_;  // apparent resistivities
  Eigen::VectorXd least_;
  Eigen::VectorXd greatest_;
};

/// One linear combination of parameters held at a value: unit + sign * other = value (sign 0: the parameter alone).
struct Hold {
  Eigen::Index parameter;
  Eigen::Index other = 0;
  double sign = 0.0;  // unit: none, +1, -1 or 0
  double value = 0.0;
};

/// Least objective from a start, by Levenberg and Marquardt's method (Eigen), with a combination held or none.
[[nodiscard]] Minimum minimum_from(const FitProblem& problem, const Eigen::VectorXd& start,
                                   const std::optional<Hold>& hold = {},
                                   FitProblem::Route route = FitProblem::Route::fast);

/// The last digits by the accurate route.
[[nodiscard]] Minimum polished(const FitProblem& problem, const Minimum& found);

}  // namespace ohmroot::sounding::detail
