#pragma once

#include <string>
#include <vector>

namespace baywright {

/// One reason why a measured value is not exactly known.
struct Contribution {
  /// How the two sides are to be read.
  enum class Kind {
    standard,  ///< standard uncertainty u (one sigma); enters the band with coverage factor 2
    expanded,  ///< already an expanded (about 95 %) amount; enters as it is
    bound,     ///< proven limit of a one-sided error; added in full
  };
  std::string source;  ///< "scan uncertainty", "chord error", "bend tolerance"...
  Kind kind = Kind::standard;
  double low = 0;   ///< how far the true value may lie below the stated one, >= 0, in the value's unit
  double high = 0;  ///< how far it may lie above, >= 0
  /// Contributions of one group share one cause: they add linearly before groups are combined. Empty: on its own.
  std::string group;
  /// The input whose absence made this a stand-in, as the job names it; empty: the figure was stated or measured.
  std::string missing = {};
  bool operator==(const Contribution&) const = default;
};

/// The uncertainty of one value as a list of its causes; never collapsed to one number before the verdict.
/// Combination (trade practice after ISO 14253-1 / GUM): inside a group linear; across groups
/// U = sqrt(sum (2 u_standard)^2 + sum u_expanded^2); bounds are added in full on top.
class Band {
 public:
  Band() = default;
  explicit Band(std::vector<Contribution> contributions) : contributions_(std::move(contributions)) {}

  void add(Contribution c);
  const std::vector<Contribution>& contributions() const { return contributions_; }

  /// Expanded amount by which the true value may lie below / above the stated one; >= 0.
  double low() const;
  double high() const;
  bool operator==(const Band&) const = default;

 private:
  std::vector<Contribution> contributions_;
};

}  // namespace baywright
