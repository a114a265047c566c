// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/load.hpp>

namespace ohmroot::supply {

std::string_view load_model_name(LoadModel model) {
  switch (model) {
  case LoadModel::constant_impedance:
    return "constant impedance";
  case LoadModel::constant_current:
    return "constant current";
  case LoadModel::constant_power:
    return "constant power";
  }
  throw InternalError("load_model_name: a load model without a name");
}

}  // namespace ohmroot::supply
