// Gives the tests of this binary the application that widgets need, without a display.
#define CATCH_CONFIG_EXTERNAL_INTERFACES
#include <catch2/catch.hpp>

#include "ui/look/look.h"

#include <QApplication>
#include <memory>

namespace {

using Listener = Catch::TestEventListenerBase; // an alias in Catch2 3, whose constructors have another name

class ApplicationForTests : public Listener {
public:
    using Listener::Listener;

    void testRunStarting(const Catch::TestRunInfo&) override
    {
        if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM"))
            qputenv("QT_QPA_PLATFORM", "offscreen");
        static int count = 1;
        static char name[] = "tests";
        static char* arguments[] = {name, nullptr};
        m_application = std::make_unique<QApplication>(count, arguments);
        ui::applyLook(*m_application);
    }

    void testRunEnded(const Catch::TestRunStats&) override { m_application.reset(); }

private:
    std::unique_ptr<QApplication> m_application;
};

CATCH_REGISTER_LISTENER(ApplicationForTests)

} // namespace
