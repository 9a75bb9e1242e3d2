#include "geometry/occt/quiet.hpp"

#include <Message.hxx>
#include <Message_Messenger.hxx>

namespace baywright::occt {

void be_quiet() {
  static const bool done = [] {
    Message::DefaultMessenger()->ChangePrinters().Clear();
    return true;
  }();
  static_cast<void>(done);
}

std::mutex& step_mutex() {
  static std::mutex mutex;
  return mutex;
}

}  // namespace baywright::occt
