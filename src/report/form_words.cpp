#include "trammel/report/form_words.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/text.hpp"
#include "trammel/model/words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostNames = 6;

/// How much of its tolerance it used, on the side it is off to.
double form_severity(const FormResult& form) {
  if (!form.actual || !form.most) return 0.0;
  const double nominal = form.nominal.value_or(0.0);
  return used_share(*form.actual, nominal, form.least.value_or(nominal), *form.most);
}

}  // namespace

std::string form_title_name(const FormResult& form) {
  return capitalised(form_name(form.kind)) + " " + printable(form.name);
}

std::string form_fault(const FormResult& form) {
  const bool below = form.actual && form.least && *form.actual < *form.least;
  if (form.kind == FormKind::Angle) return below ? "is too narrow" : "is too wide";
  if (form.kind == FormKind::Thickness) return below ? "is too thin" : "is too thick";
  return "is out of its zone";
}

std::string form_allowed(const FormResult& form) {
  if (!form.most) return {};
  if (!form.least) return "up to " + form_limit(*form.most, form.kind);
  return form_limit(*form.least, form.kind) + " to " + form_limit(*form.most, form.kind);
}

std::string form_measured(const FormResult& form) {
  if (!form.actual) return "not read";
  const auto words = [&](double value) { return form_figure(value, form.kind, form.uncertainty); };
  if (form.lowest && form.highest) return words(*form.lowest) + " to " + words(*form.highest);
  return words(*form.actual);
}

std::string form_figures(const FormResult& form) {
  if (!form.actual) return "Not measured.";
  std::string words = form_measured(form);
  const std::string allowed = form_allowed(form);
  if (!allowed.empty()) words += ", allowed " + allowed;
  if (!form.tolerance_class.empty()) words += " (" + printable(form.tolerance_class) + ")";
  return words + ".";
}

Finding form_finding(const FormResult& form, std::size_t index) {
  Finding finding;
  finding.label = printable(form.name);
  finding.subject = Subject::Form;
  finding.index = index;
  finding.outcome = form.outcome;
  finding.severity = form_severity(form);
  const std::string name = form_title_name(form);
  if (!form.actual) {
    finding.title = name + " could not be measured.";
  } else if (form.outcome == Outcome::Fail) {
    finding.title = name + " " + form_fault(form) + ": " +
                    form_figure(*form.actual, form.kind, form.uncertainty) + ".";
  } else {
    finding.title = name + " cannot be decided.";
  }
  finding.detail = why_or(form.outcome, form.reasons, form_figures(form));
  return finding;
}

std::string form_names(const std::vector<FormResult>& forms) {
  std::vector<std::string> names;
  for (const FormResult& form : forms)
    names.push_back(form_name(form.kind) + " " + printable(form.name));
  return list_words(names, kMostNames);
}

}  // namespace trammel
