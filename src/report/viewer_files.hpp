#pragma once

/// The files of shared/viewer and three.js, as the build put them into the program.

#include <string_view>

namespace trammel {

extern const std::string_view
    kViewerPage;  ///< head.html and page.html, with {{names}} to be filled
extern const std::string_view kChangesPage;    ///< head.html and changes.html, alike
extern const std::string_view kOverviewPage;   ///< head.html and overview.html, alike
extern const std::string_view kOverviewStyle;  ///< overview.css, after style.css
extern const std::string_view kViewerStyle;    ///< style.css
extern const std::string_view kViewerScript;   ///< our scripts, one after the other
extern const std::string_view kViewerLibrary;  ///< three.js with its orbit controls

}  // namespace trammel
