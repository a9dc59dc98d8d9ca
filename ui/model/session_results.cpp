#include "ui/model/session_results.h"

#include <QDate>
#include <algorithm>

namespace ui {
namespace {

KnownResults ofNothing()
{
    const auto empty = std::make_shared<const session::Document>();
    return {empty, std::make_shared<const analysis::Results>(analysis::compute(*empty)), {}, {}, {}};
}

/// Results that are known already of the same document are taken over.
KnownResults workedOut(const std::shared_ptr<const session::Document>& document, const KnownResults& known,
                       session::ConfigurationId first, session::ConfigurationId second)
{
    KnownResults made{document, known.results, first, second, {}};
    if (document != known.document)
        made.results = std::make_shared<const analysis::Results>(analysis::compute(*document));
    if (first && first != second && session::find(*document, first) && session::find(*document, second))
        made.pair = std::make_shared<const analysis::Results>(analysis::pairOf(*document, first, second));
    return made;
}

const char* const comparison = "comparison"; ///< words of session::EarlyLook

bool lookedToday(const session::Settings& settings)
{
    const std::string today = QDate::currentDate().toString(Qt::ISODate).toStdString();
    return std::ranges::any_of(settings.earlyLooks, [&](const session::EarlyLook& look) {
        return look.what == comparison && look.reader == settings.reader && look.time.starts_with(today);
    });
}

} // namespace

SessionResults::SessionResults(SessionModel& model, QObject* parent)
    : QObject(parent), m_model(model), m_known(ofNothing())
{
    connect(&model, &SessionModel::changed, this, &SessionResults::begin);
    connect(&model, &SessionModel::sessionReplaced, this, &SessionResults::restart);
    begin();
}

SessionResults::~SessionResults() = default;

bool SessionResults::upToDate() const
{
    const auto document = m_model.document();
    return document == m_failed
           || (document == m_known.document && m_first == m_known.first && m_second == m_known.second);
}

void SessionResults::askPair(session::ConfigurationId first, session::ConfigurationId second)
{
    m_first = first;
    m_second = second;
    begin();
}

void SessionResults::recordEarlyLook()
{
    const analysis::Results& results = *m_known.results;
    const bool anything = std::ranges::any_of(results.configurations, [](const auto& result) { return result.n > 0; });
    if (results.interim && anything && !m_model.readOnly() && !lookedToday(m_model.document()->settings))
        m_model.edit([](const session::Document& document) { return session::recordEarlyLook(document, comparison); });
}

void SessionResults::restart()
{
    ++m_session;
    m_known = ofNothing();
    m_any = false;
    m_first = m_second = {};
    emit changed();
    begin();
}

void SessionResults::begin()
{
    if (m_working || upToDate())
        return; // what is under way looks at the end whether there is more to do
    m_working = true;
    const auto document = m_model.document();
    m_worker.run([document, known = m_known, first = m_first,
                  second = m_second](std::stop_token) { return workedOut(document, known, first, second); },
                 [this, session = m_session](KnownResults made) {
                     m_working = false;
                     if (session == m_session) {
                         m_known = std::move(made);
                         m_any = true;
                         emit changed();
                     }
                     begin();
                 },
                 [this, document](const QString& sentence) {
                     m_working = false;
                     m_failed = document;
                     emit problem(tr("The results couldn't be worked out: %1").arg(sentence));
                     begin();
                 });
}

} // namespace ui
