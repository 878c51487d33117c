#include "plain_output.hpp"

#include <cstdlib>
#include <iostream>
#include <streambuf>
#include <string>

#include "trammel/base/plain_signs.hpp"

namespace trammel::app {
namespace {

/// Passes on line by line, and whenever it is flushed: no sign is ever cut in two.
class PlainBuffer : public std::streambuf {
 public:
  explicit PlainBuffer(std::ostream& stream) : stream_(stream), to_(stream.rdbuf(this)) {}
  ~PlainBuffer() override {
    pass_on();
    stream_.rdbuf(to_);
  }
  [[nodiscard]] std::streambuf* behind() const { return to_; }

 protected:
  int_type overflow(int_type letter) override {
    if (traits_type::eq_int_type(letter, traits_type::eof())) return traits_type::not_eof(letter);
    waiting_ += traits_type::to_char_type(letter);
    if (waiting_.back() == '\n' && !pass_on()) return traits_type::eof();
    return letter;
  }
  std::streamsize xsputn(const char* text, std::streamsize size) override {
    waiting_.append(text, static_cast<std::size_t>(size));
    return size > 0 && text[size - 1] == '\n' && !pass_on() ? 0 : size;
  }
  int sync() override { return pass_on() && to_->pubsync() == 0 ? 0 : -1; }

 private:
  bool pass_on() {
    const std::string plain = plain_signs(waiting_);
    waiting_.clear();
    const auto size = static_cast<std::streamsize>(plain.size());
    return to_->sputn(plain.data(), size) == size;
  }

  std::ostream& stream_;
  std::streambuf* to_;
  std::string waiting_;
};

}  // namespace

PlainOutput::PlainOutput() {
  if (says_utf8(std::getenv("LC_ALL"), std::getenv("LC_CTYPE"), std::getenv("LANG"))) return;
  out_ = std::make_unique<PlainBuffer>(std::cout);
  error_ = std::make_unique<PlainBuffer>(std::cerr);
}

PlainOutput::~PlainOutput() = default;

void print_json(const std::string& json) {
  std::cout.flush();
  const auto* plain = dynamic_cast<PlainBuffer*>(std::cout.rdbuf());
  std::ostream whole(plain != nullptr ? plain->behind() : std::cout.rdbuf());
  whole << json;
  if (!whole.flush()) std::cout.setstate(std::ios::badbit);
}

}  // namespace trammel::app
