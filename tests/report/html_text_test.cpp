#include "trammel/report/html_text.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(HtmlText, EscapesWhatMeansSomethingToABrowser) {
  EXPECT_EQ(html_escaped("a<b> & \"c\" 'd'"), "a&lt;b&gt; &amp; &quot;c&quot; &#39;d&#39;");
  EXPECT_EQ(html_escaped("\U0001F527\xff"), "\U0001F527\uFFFD");
}

TEST(HtmlText, JsonCannotEndItsScript) {
  EXPECT_EQ(json_for_html("[\"</script><!--\"]"), "[\"\\u003c/script>\\u003c!--\"]");
}

TEST(HtmlText, Base64MatchesTheVectorsOfTheStandard) {
  // RFC 4648, section 10.
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foob"), "Zm9vYg==");
  EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
  EXPECT_EQ(base64("\xfb\xff"), "+/8=");
}

TEST(HtmlText, ColoursAndTones) {
  EXPECT_EQ(css_colour({0x9b, 0x0c, 0x31}), "#9b0c31");
  EXPECT_EQ(tone_of(verdict_colour(Outcome::Fail)), "fail");
  EXPECT_EQ(tone_of(kInk), "");
}

TEST(HtmlText, NumbersLieLeastByteFirst) {
  const std::vector<std::uint16_t> numbers = {0x0102, 0xfffe};
  EXPECT_EQ(bytes_of(numbers), "\x02\x01\xfe\xff");
}

}  // namespace
}  // namespace trammel
