// SPDX-License-Identifier: MIT
#pragma once

#include <optional>

namespace ohmroot::electrode {

/// What soil does with heat. Both positive.
struct SoilHeat {
  double thermal_conductivity_w_per_m_k;
  double heat_capacity_j_per_m3_k;  ///< by volume
};

/// Soil and the heat it leads away, for a steady state. Both positive.
struct SteadySoil {
  double resistivity_ohm_m;
  double thermal_conductivity_w_per_m_k;
};

/// Temperature rise of metal that is held at a voltage for ever: U^2 / (2 rho lambda). It holds for metal of any single
/// shape in soil with one product rho lambda and no heat lost to the air, and so from above; in layers put the smallest
/// product: then it bounds the mean over the soil, weighted with where the heat arises (Dirichlet's principle), and single
/// spots only as an estimate. Sources: classical relation (Ollendorff; Sunde; IEEE Std 80; BS 7430), from memory; derived
/// again: theta = phi (2 U - phi) / (2 rho lambda) solves div(lambda grad theta) = -|grad phi|^2 / rho with no flow of heat
/// through the metal. Throws DomainError for values that are not positive (voltage: negative). [K]
[[nodiscard]] double steady_rise_k(double voltage_v, const SteadySoil& soil);

/// The voltage that ends in a given rise: the same relation turned round. [V]
[[nodiscard]] double long_duration_voltage_v(double rise_k, const SteadySoil& soil);

/// A bar, or a piece of one, and the current that leaves each metre of it. Radius and resistivity positive.
struct LeakingBar {
  double radius_m;
  double current_a_per_m;
  double resistivity_ohm_m;
};

/// Temperature rise at the surface of a long bar after a time: heat rho (I' / (2 pi r))^2 arises in the soil and flows
/// along the radius only; the bar takes up none. It grows without end, as the square of the logarithm of time, so where
/// time is long steady_rise_k() is the lesser. Not negative time; relative error below 3e-4. [K]
/// Derived: rise = rho I'^2 / (4 pi^2 lambda) * radial_rise_ratio(lambda t / (c a^2)).
[[nodiscard]] double radial_rise_k(const LeakingBar& bar, const SoilHeat& heat, double time_s);

/// The universal curve of radial_rise_k(), of the Fourier number lambda t / (c a^2), which is 0 to 1e12. Its Laplace
/// transform s^(-3/2) / K1(sqrt s) * integral from sqrt s of K0(u) / u is inverted by Stehfest's sum.
/// Source of the method: H. Stehfest, Commun. ACM 13 (1970) 47 (from memory).
[[nodiscard]] double radial_rise_ratio(double fourier_ratio);

/// When the surface of a bar has risen that far, by radial_rise_k() and never above the steady rise; nothing if the steady
/// rise is less, or it takes more than a hundred years. Rise positive. [s]
struct RiseQuestion {
  double rise_k;
  double steady_rise_k;
};
[[nodiscard]] std::optional<double> time_to_rise_s(const LeakingBar& bar, const SoilHeat& heat,
                                                   const RiseQuestion& question);

/// Current per area of metal that wet soil can bear for a short time, by which it is heated without leading heat away.
/// 0.001 s to 100 s; resistivity positive.
struct ShortTime {
  double resistivity_ohm_m;
  double time_s;
};
/// The one that this library uses: 1000 sqrt(57.7 / (rho t)), 57.7 MJ/m3 of heat. Source: BS 7430 and ENA TS 41-24
/// (from memory). [A/m2]
[[nodiscard]] double current_density_a_per_m2(const ShortTime& duty);
/// 7570 / sqrt(rho t): 0.3 % lower. Source: IS 3043 (from memory). [A/m2]
[[nodiscard]] double current_density_is_3043_a_per_m2(const ShortTime& duty);
/// 34800 d L / sqrt(rho t) for a rod, as a density: 46 % higher, and so not used. Ascribed to IEEE Std 142; common practice,
/// not checked against the text. [A/m2]
[[nodiscard]] double current_density_ieee_142_a_per_m2(const ShortTime& duty);

}  // namespace ohmroot::electrode
