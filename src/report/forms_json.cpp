#include "forms_json.hpp"

#include "json_text.hpp"

namespace trammel {

nlohmann::ordered_json forms_json(const Verdict& verdict) {
  auto forms = nlohmann::ordered_json::array();
  for (const FormResult& form : verdict.forms) {
    forms.push_back(
        {{"name", form.name},
         {"kind", form_name(form.kind)},
         {"unit", form.kind == FormKind::Angle ? "rad" : "mm"},
         {"nominal", json_number(form.nominal)},
         {"least", json_number(form.least)},
         {"most", json_number(form.most)},
         {"class", form.tolerance_class},
         {"actual", json_number(form.actual)},
         {"lowest", json_number(form.lowest)},
         {"highest", json_number(form.highest)},
         {"uncertainty",
          form.actual ? json_number(form.uncertainty) : nlohmann::ordered_json(nullptr)},
         {"verdict", outcome_name(form.outcome)},
         {"at", json_vector(form.at_mm)},
         {"other", form.other_mm ? json_vector(*form.other_mm) : nlohmann::ordered_json(nullptr)},
         {"measured_as", form.measured_as},
         {"conformity", json_number(form.conformity)},
         {"reasons", form.reasons}});
  }
  return forms;
}

}  // namespace trammel
