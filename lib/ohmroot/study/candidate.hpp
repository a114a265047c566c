// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/study/site.hpp>

#include <cstddef>

namespace ohmroot::study {

/// How many draws of the soil a candidate meets at most; large electrodes meet fewer (400 up to 150 elements, 50
/// above 1000), which the basis of the result says.
struct SoilCount {
  std::size_t greatest_count = 400;
};

/// One electrode in the soil of the site, worst season, earthing conductor and relied-on paths included; no
/// verdict. By the field solution in every soil that the data allow. Where the solution refuses the shape the
/// published formula, wholly in the least and wholly in the most resistive soil, brackets it, and
/// field_refusal says why. Of rods like a measured one the interval is what its reading proves.
/// Throws DomainError for a shape that is not valid and for a picture without soil.
[[nodiscard]] CandidateResult candidate_resistance(const Site& site, const SoilPicture& soil,
                                                   const Candidate& candidate, SoilCount soils = {});

/// The electrode and its earthing conductor alone, without any other path to earth, over all seasons; infinite where
/// its resistance is. [ohm]
[[nodiscard]] Estimate alone_ohm(const Site& site, const CandidateResult& candidate);

/// An electrode in the ground as measured, taken to the worst season in the same way.
[[nodiscard]] CandidateResult measured_resistance(const Site& site, const MeasuredElectrode& measured);

}  // namespace ohmroot::study
