#include "ui/clock/take_reference.h"

#include <QCoreApplication>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

QString tr(const char* words) { return QCoreApplication::translate("ui", words); }

/// Sources behind references, the own one of each left out: it stands first.
std::vector<const session::ErrorSource*> sharedSources(const session::Document& document)
{
    std::vector<const session::ErrorSource*> sources;
    for (const auto& [id, clock] : document.clocks)
        for (const session::ClockEvidence& evidence : clock->evidence)
            if (evidence.rate.origin == timing::Origin::Reference)
                for (std::size_t i = 1; i < evidence.errorSources.size(); ++i)
                    if (const auto* source = session::find(document, evidence.errorSources[i]);
                        source && std::ranges::find(sources, source) == sources.end())
                        sources.push_back(source);
    return sources;
}

std::string unusedName(const session::Document& document, const std::string& wanted)
{
    std::string name = wanted;
    const auto taken = [&](const auto& item) { return item.second->name == name; };
    for (int i = 2; std::ranges::any_of(document.errorSources, taken); ++i)
        name = wanted + " (" + std::to_string(i) + ")";
    return name;
}

} // namespace

session::Edit takeReference(const session::Document& document, session::ClockId clock, timing::RateEvidence rate,
                            const std::string& ownName, double ownUncertainty, const SharedError& shared)
{
    std::vector<session::ErrorSource> sources{{{}, ownName, ownUncertainty}};
    if (const session::ErrorSource* same = session::find(document, shared.same)) {
        sources.push_back(*same);
    } else if (shared.relativeUncertainty > 0) {
        session::ErrorSource source{{}, shared.name, shared.relativeUncertainty};
        if (shared.another)
            source.name = unusedName(document, shared.name);
        else
            for (const auto& [id, known] : document.errorSources)
                if (known->name == source.name && known->relativeUncertainty == source.relativeUncertainty)
                    source.id = id;
        sources.push_back(source);
    }
    return session::addReference(document, clock, std::move(rate), sources);
}

QVector<std::pair<qint64, QString>> sharedErrorChoices(const session::Document& document, const QString& toldBy)
{
    QVector<std::pair<qint64, QString>> choices{{0, toldBy}, {-1, tr("another than any before")}};
    for (const session::ErrorSource* source : sharedSources(document))
        choices << std::pair(qint64(source->id.value),
                             tr("same as %1, \u00b1%2 ppm")
                                 .arg(QString::fromStdString(source->name),
                                      QString::number(source->relativeUncertainty * std::sqrt(3.0) * 1e6, 'g', 3)));
    return choices;
}

void applyChoice(SharedError& shared, qint64 choice)
{
    shared.another = choice < 0;
    shared.same = session::ErrorSourceId{choice > 0 ? choice : 0};
}

const session::ErrorSource* chosenSource(const session::Document& document, qint64 choice)
{
    return choice > 0 ? session::find(document, session::ErrorSourceId{choice}) : nullptr;
}

} // namespace ui
